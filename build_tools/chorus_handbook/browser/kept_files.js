// @ts-check
/**
 * Keeps pages on this device, with all the files that they need, in the browser's cache for this site:
 * the pages that were opened last, and what a reader has asked to keep. When there is no connection,
 * `offline_worker.js` answers from there.
 *
 * A file is kept only if it is the one in the list of the site's files (site-files.json), and a page
 * only once all files that it needs are kept. So a page that is kept is complete and all of one build,
 * even if a download breaks off. The download then goes on with the next page that is opened.
 */

import { addressOf, allPages, isPage, pathsOfPage, sharedPaths, siteFiles } from "./site_files.js";
import { gettext } from "./words.js";

/** @import { SiteFile, SiteFiles } from "./site_files.js" */

/**
 * What a reader has asked to keep. `page`: the address below the site of the page on which they asked,
 * which identifies the request; "" for the whole site, with `everything`. `title`: what readers see of it.
 * `pages`: the addresses of further pages to keep with it. `whole`: whether all of it is kept, and `bytes`
 * how much that is.
 * @typedef {{page: string, title: string, pages: string[], everything: boolean, whole: boolean, bytes: number}} Asked
 */
/** What is noted of all requests. `opened`: the pages that were opened, the last one last. `full`: whether there was no room for them. @typedef {{version: number, requests: Asked[], opened: string[], full: boolean}} Kept */
/** How far a download is: bytes that have arrived, of how many. @typedef {{done: number, all: number}} Progress */

/** Not everything could be kept; the message tells the reader why. */
export class KeepError extends Error {}
/** What to tell readers whose browser lets nothing be kept. */
export const BLOCKED = () =>
  gettext("This browser keeps nothing for this site. It may be a private window, storage may be switched off, or the address may not begin with https.");
/** The site does not answer. */
export class ConnectionError extends KeepError {}
/** There is no more room on this device. */
export class FullError extends KeepError {}
/** A file of the site is not the one in its list. */
class OtherFileError extends KeepError {}

/** The version of the way in which files are kept; `offline_worker.js` has the same number. */
const FORMAT = 1;
/** The path of the service worker in the site. */
export const WORKER = "offline-worker.js";
const HASH = "X-Handbook-SHA256";
/** How many pages are kept because they were opened (our choice: two evenings, some 8 MB). */
const MOST_OPENED = 40;
/** How many files are fetched at a time. */
const AT_ONCE = 4;
const PICTURE = /<img [^>]*?src="([^"?#]+)"/g;

export class KeptFiles {
  /** @param {URL} base the address of the site */
  constructor(base) {
    this.base = base;
    this.name = `chorus-handbook files ${FORMAT} ${base.pathname}`;
    /** The address under which the record of requests (`Kept`) is stored beside the files. */
    this.record = new URL("assets/handbook/kept.json", base).href;
  }

  /** The list of the site's files. Throws KeepError. @returns {Promise<SiteFiles>} */
  async list() {
    const answer = await fetch(new URL("assets/handbook/site-files.json", this.base), { cache: "no-cache" }).catch(() => null);
    const files = answer?.ok ? siteFiles(await answer.json().catch(() => null)) : null;
    if (files) return files;
    if (answer) throw new KeepError(gettext("This site has no list of its files, so nothing can be kept. Tell whoever looks after this handbook."));
    throw new ConnectionError(gettext("There is no connection. What is kept already stays; try again when there is one."));
  }

  /** The browser's cache with all files that are kept. Throws KeepError. @returns {Promise<Cache>} */
  async open() {
    try {
      return await caches.open(this.name);
    } catch {
      throw new KeepError(BLOCKED());
    }
  }

  /** The addresses of all files that are kept. Throws KeepError. */
  async addresses() {
    return new Set((await (await this.open()).keys()).map(({ url }) => url));
  }

  /** How much is kept, in bytes; the browser's own estimate would be up to date only later. Throws KeepError. */
  async size() {
    const answers = await (await this.open()).matchAll();
    return answers.reduce((sum, { headers }) => sum + Number(headers.get("Content-Length")), 0);
  }

  /** The record of what was asked for and opened. Throws KeepError. @returns {Promise<Kept>} */
  async read() {
    const stored = await (await this.open()).match(this.record);
    const kept = await stored?.json().catch(() => null);
    return kept?.version === FORMAT ? kept : { version: FORMAT, requests: [], opened: [], full: false };
  }

  /** Stores the record. @param {Kept} kept */
  async write(kept) {
    await put(await this.open(), this.record, new Response(JSON.stringify(kept)));
  }

  /**
   * Notes that a page was opened, and fetches whatever is missing or has changed of all that is to be
   * kept. Readers are not told if that fails, since the next page tries again. Does nothing while another
   * window of this site is fetching.
   * @param {SiteFiles} files
   * @param {string} page
   */
  async opened(files, page) {
    await this.alone(async () => {
      const kept = await this.read();
      kept.opened = [...kept.opened.filter((one) => one !== page), page].slice(-MOST_OPENED);
      try {
        await this.write(kept);
        await this.bringUpToDate(files, kept);
        if (kept.full) await this.write({ ...kept, full: false });
      } catch (reason) {
        if (!(reason instanceof FullError)) throw reason;
        kept.opened = kept.opened.slice(-Math.ceil(kept.opened.length / 2)); // half of them make room
        await this.sweep(files, kept);
        await this.write({ ...kept, full: true });
      }
    }, true);
  }

  /**
   * Keeps what a reader asks for. Throws KeepError with what to tell them; the files that have arrived by
   * then stay for the next try.
   * @param {Pick<Asked, "page" | "title" | "pages" | "everything">} request
   * @param {{signal?: AbortSignal, progress?: (progress: Progress) => void}} [options]
   */
  async keep(request, options = {}) {
    await this.alone(async () => {
      const kept = await this.read();
      let files = await this.list(); // without a connection nothing is noted, since nothing has begun
      const asked = { ...request, whole: false, bytes: 0 };
      kept.requests = [...kept.requests.filter(({ page }) => page !== request.page), asked];
      await this.write(kept);
      try {
        await this.bringUpToDate(files, kept, options);
      } catch (reason) {
        if (!(reason instanceof OtherFileError)) throw reason;
        files = await this.list(); // the site may have been published anew since the list was read
        await this.bringUpToDate(files, kept, options);
      }
    });
  }

  /** Forgets the request of a page or, if `page` is null, all pages that were opened, and deletes their files. @param {string | null} page */
  async remove(page) {
    await this.alone(async () => {
      const kept = await this.read();
      if (page === null) kept.opened = [];
      else kept.requests = kept.requests.filter((request) => request.page !== page);
      await this.write(kept);
      await this.sweep(await this.list().catch(() => null), kept);
    });
  }

  /** Deletes everything that is kept, and removes the service worker. */
  async removeAll() {
    for (const registration of (await navigator.serviceWorker?.getRegistrations()) ?? []) {
      const worker = registration.active ?? registration.waiting ?? registration.installing;
      if (worker?.scriptURL === new URL(WORKER, this.base).href) await registration.unregister();
    }
    await caches.delete(this.name);
  }

  /** The paths of everything that is to be kept. @param {SiteFiles} files @param {Kept} kept */
  wanted(files, { requests, opened }) {
    const asked = requests.flatMap((request) => this.pathsOf(files, request));
    return new Set([...sharedPaths(files), ...opened.flatMap((page) => pathsOfPage(files, page)), ...asked]);
  }

  /** The paths of the files that a request needs, without those that all pages share. @param {SiteFiles} files @param {Pick<Asked, "page" | "pages" | "everything">} request */
  pathsOf(files, { page, pages, everything }) {
    const all = everything ? allPages(files) : [page, ...pages];
    return all.flatMap((one) => pathsOfPage(files, one));
  }

  /**
   * Fetches what is missing, and then deletes what is no longer needed. Throws KeepError.
   * @param {SiteFiles} files
   * @param {Kept} kept
   * @param {{signal?: AbortSignal, progress?: (progress: Progress) => void}} [options]
   */
  async bringUpToDate(files, kept, { signal, progress } = {}) {
    const cache = await this.open();
    const missing = [];
    for (const path of this.wanted(files, kept)) if (!(await this.has(cache, files, path))) missing.push(path);
    const all = missing.reduce((sum, path) => sum + (files.get(path)?.size ?? 0), 0);
    let done = 0;
    progress?.({ done, all });
    const fetchOne = async (/** @type {string} */ path) => {
      signal?.throwIfAborted();
      await this.fetch(cache, files, path, signal);
      done += files.get(path)?.size ?? 0;
      progress?.({ done, all });
    };
    await inTurns(missing.filter((path) => !isPage(path)), fetchOne);
    await inTurns(missing.filter(isPage), fetchOne);
    for (const request of kept.requests) {
      request.whole = true;
      request.bytes = this.pathsOf(files, request).reduce((sum, path) => sum + (files.get(path)?.size ?? 0), 0);
    }
    await this.write(kept);
    await this.sweep(files, kept);
  }

  /** Whether a file is kept as the list has it. @param {Cache} cache @param {SiteFiles} files @param {string} path */
  async has(cache, files, path) {
    const file = files.get(path);
    const kept = file && (await cache.match(this.address(path, file)));
    return kept?.headers.get(HASH) === file?.sha256;
  }

  /** The address under which a file is requested and kept. @param {string} path @param {SiteFile} file */
  address(path, file) {
    return new URL(addressOf(path, file), this.base).href;
  }

  /**
   * Fetches a file and keeps it; if it is a page, its pictures are fetched first. Throws KeepError.
   * @param {Cache} cache
   * @param {SiteFiles} files
   * @param {string} path
   * @param {AbortSignal} [signal]
   */
  async fetch(cache, files, path, signal) {
    const file = files.get(path);
    if (!file) return;
    const address = this.address(path, file);
    /** @type {Response | null} */
    let answer = null;
    /** @type {ArrayBuffer} */
    let content;
    try {
      answer = await fetch(address, { cache: "no-cache", signal });
      content = await answer.arrayBuffer();
    } catch {
      signal?.throwIfAborted();
      throw new KeepError(gettext("The connection broke off. What has arrived stays; the rest follows when you try again."));
    }
    if (!answer.ok || (await digits(content)) !== file.sha256) {
      throw new OtherFileError(
        gettext("The file “{file}” is not the one that this site lists. The site may be being published at this moment: try again in a few minutes. If that does not help, tell whoever looks after this handbook.", { file: path }),
      );
    }
    if (isPage(path)) {
      for (const picture of picturesOf(content, address, this.base)) {
        if (files.has(picture) && !(await this.has(cache, files, picture))) await this.fetch(cache, files, picture, signal);
      }
    }
    const headers = {
      "Content-Type": answer.headers.get("Content-Type") ?? "",
      "Content-Length": String(file.size),
      [HASH]: file.sha256,
    };
    await put(cache, address, new Response(content, { headers }));
  }

  /**
   * Deletes files that nothing needs any longer.
   * @param {SiteFiles | null} files null if the list could not be loaded; then nothing is deleted yet
   * @param {Kept} kept
   */
  async sweep(files, kept) {
    if (!files) return; // the next page that is opened with a connection does it
    const cache = await this.open();
    const needed = new Set([this.record]);
    for (const path of this.wanted(files, kept)) needed.add(this.address(path, /** @type {SiteFile} */ (files.get(path))));
    for (const path of files.keys()) if (/\.(png|jpe?g|gif|webp|avif)$/.test(path)) needed.add(new URL(path, this.base).href);
    for (const { url } of await cache.keys()) if (!needed.has(url)) await cache.delete(url);
  }

  /**
   * Does something while no other window of this site does the same.
   * @param {() => Promise<void>} task
   * @param {boolean} [orNot] leave it undone if another window is at it, instead of waiting for it
   */
  async alone(task, orNot = false) {
    if (!navigator.locks) return task();
    await navigator.locks.request(this.name, { ifAvailable: orNot }, (lock) => (lock ? task() : undefined));
  }
}

/**
 * The address of a page below the site, such as "exercises/low-tide/"; null if it is on another site.
 * @param {URL} base
 * @param {string} address
 */
export function pageAt(base, address) {
  const plain = address.replace(/[?#].*/, "").replace(/\/index\.html$/, "/");
  return plain.startsWith(base.href) ? plain.slice(base.href.length) : null;
}

/** Whether the whole handbook is kept, so that there is nothing more to keep. @param {Pick<Kept, "requests">} kept */
export function allKept({ requests }) {
  return requests.some(({ everything, whole }) => everything && whole);
}

/** Stores an answer in the cache. Throws FullError. @param {Cache} cache @param {string} address @param {Response} content */
async function put(cache, address, content) {
  try {
    await cache.put(address, content);
  } catch (reason) {
    console.warn("keep", reason);
    throw new FullError(gettext("There is no more room on this device. Remove something that is kept here, or make room on the device, and try again."));
  }
}

/** The paths of the pictures on a page. @param {ArrayBuffer} content @param {string} address @param {URL} base */
function picturesOf(content, address, base) {
  const found = new TextDecoder().decode(content).matchAll(PICTURE);
  const addresses = [...found].map(([, source]) => new URL(source.replaceAll("&amp;", "&"), address).href);
  return addresses.filter((one) => one.startsWith(base.href)).map((one) => decodeURI(one.slice(base.href.length)));
}

/** SHA-256 in hexadecimal. @param {ArrayBuffer} content */
async function digits(content) {
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", content));
  return [...hash].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Does a task for each item, `AT_ONCE` of them at a time; the first failure ends it. @param {string[]} items @param {(item: string) => Promise<void>} task */
async function inTurns(items, task) {
  const waiting = [...items];
  const worker = async () => {
    try {
      for (let item = waiting.shift(); item !== undefined; item = waiting.shift()) await task(item);
    } catch (reason) {
      waiting.length = 0; // the others end with what they have begun
      throw reason;
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
}
