// @ts-check
/**
 * Says which files of a site a page needs, so that they can be kept for reading without a signal
 * (`kept_files.js`), and under which address a page asks for each. It reads the list of all files that a
 * build writes (site-files.json).
 */

import { addressHash } from "./asset_loader.js";

/** @typedef {{size: number, sha256: string}} SiteFile size in bytes, SHA-256 in hexadecimal */
/** The files of a site by path, such as "exercises/low-tide/index.html". @typedef {Map<string, SiteFile>} SiteFiles */

/** The version of the list that is read here; `records/manifest.py` writes it. */
const VERSION = 1;
/** The paths of files that any page may need: scripts, styles, fonts and pictures of the site itself, the data of the whole stock, the tones, the first page, and the pages that work for the whole stock. */
const SHARED = [
  /^assets\/.*\.(js|css|woff2)$/,
  /^assets\/images\//,
  /^assets\/handbook\/[^/]+\.(json|bin)$/,
  /^(((kept|search|find|gaps|draft)\/)?index\.html|icon-\d+\.png|favicon\.\w+|handbook\.webmanifest)$/,
];
/** The paths of data for other programs, which no page loads. */
const FOR_OTHERS = /^assets\/handbook\/exercises(\.schema)?\.json$/;
/** The paths of files for which pages ask with a hash of the content in the address. */
const NAMED = /^assets\/handbook\/([^/]+\/notes|instrument)\.(json|bin)$/;
const PAGE = /(^|\/)index\.html$/;

/**
 * The list of files; null if the content is no such list, or of another version. The list of a site that
 * keeps nothing, as with `handbook serve`, is empty.
 * @param {unknown} content of site-files.json
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
 * The paths of a page and of the files that it alone needs; an empty list if there is no such page.
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

/** Whether a path is that of a page. @param {string} path */
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
