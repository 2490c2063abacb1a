// @ts-check
/**
 * Which files of a site belong to a page, by the list of its files (site-files.json), and under which
 * address a page asks for each.
 */

import { addressHash } from "./asset_loader.js";

/** @typedef {{size: number, sha256: string}} SiteFile size in bytes, SHA-256 in hexadecimal */
/** The files of a site by path, such as "exercises/low-tide/index.html". @typedef {Map<string, SiteFile>} SiteFiles */

/** The version of the list that is read here; `records/manifest.py` writes it. */
const VERSION = 1;
/** What any page may need: scripts, styles, fonts and pictures of the site itself, the data of the whole stock, the tones, the first page, and the pages that work for the whole stock. */
const SHARED = [
  /^assets\/.*\.(js|css|woff2)$/,
  /^assets\/images\//,
  /^assets\/handbook\/[^/]+\.(json|bin)$/,
  /^(((kept|search|find|gaps|draft)\/)?index\.html|icon-\d+\.png|favicon\.\w+|handbook\.webmanifest)$/,
];
/** Data for other programs, which no page loads. */
const FOR_OTHERS = /^assets\/handbook\/exercises(\.schema)?\.json$/;
/** Which of an exercise's files its page names by their hash. */
const NAMED = /^assets\/handbook\/([^/]+\/notes|instrument)\.(json|bin)$/;
const PAGE = /(^|\/)index\.html$/;

/**
 * The list from its JSON; null if it is no such list. It is empty where nothing is to be kept, as with
 * `handbook serve`.
 * @param {unknown} content
 * @returns {SiteFiles | null}
 */
export function siteFiles(content) {
  const { version, files } = /** @type {{version?: unknown, files?: Record<string, SiteFile>}} */ (content ?? {});
  if (version !== VERSION || typeof files !== "object") return null;
  return new Map(Object.entries(files ?? {}));
}

/** The paths of what every page may need. @param {SiteFiles} files */
export function sharedPaths(files) {
  return [...files.keys()].filter((path) => SHARED.some((kind) => kind.test(path)) && !FOR_OTHERS.test(path));
}

/**
 * The paths of a page and what belongs to it alone; none if there is no such page.
 * @param {SiteFiles} files
 * @param {string} page its address below the site: "exercises/low-tide/", or "" for the first page
 */
export function pathsOfPage(files, page) {
  const [, slug] = page.match(/^exercises\/([^/]+)\/$/) ?? [];
  const paths = [`${page}index.html`, ...["notes", "warm-up"].map((name) => `assets/handbook/${slug}/${name}.json`)];
  return files.has(paths[0]) ? paths.filter((path) => files.has(path)) : [];
}

/** All pages, as addresses below the site. @param {SiteFiles} files */
export function allPages(files) {
  return [...files.keys()].filter(isPage).map((path) => path.replace(/index\.html$/, ""));
}

/** @param {string} path */
export function isPage(path) {
  return PAGE.test(path);
}

/**
 * The address below the site under which pages ask for a file.
 * @param {string} path
 * @param {SiteFile} file
 */
export function addressOf(path, file) {
  if (isPage(path)) return path.replace(/index\.html$/, "");
  return NAMED.test(path) ? `${path}?sha256=${addressHash(file.sha256)}` : path;
}

/** The bytes of these files together. @param {SiteFiles} files @param {Iterable<string>} paths */
export function sizeOf(files, paths) {
  return [...new Set(paths)].reduce((sum, path) => sum + (files.get(path)?.size ?? 0), 0);
}
