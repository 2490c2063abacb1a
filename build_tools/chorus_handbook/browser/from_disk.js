// @ts-check
/**
 * Makes pages work without a web server, when they are opened from a disk or a memory stick. Opened so,
 * they can load no modules and fetch no files, but they can run plain scripts. So this plain script
 * contains the modules of the site (`pages/from_disk.py` adds them at its end) and makes an import map of
 * them; and each data file has a copy in the form of a script, which hands its content to
 * `handbookFile`. Only sites that are built for a memory stick have this script.
 */

(() => {
  const script = /** @type {HTMLScriptElement} */ (document.currentScript);
  /** For each file that a page has asked for, the function that takes its content, by the address of its script. @type {Map<string, (body: BodyInit) => void>} */
  const waiting = new Map();
  const places = /** @type {Record<string, unknown>} */ (/** @type {unknown} */ (window));

  /** Called by the script of a data file, with its content. @param {string} text the file's text, or its bytes in base64 @param {boolean} packed whether it is in base64 */
  places.handbookFile = (text, packed) => {
    const { src } = /** @type {HTMLScriptElement} */ (document.currentScript);
    waiting.get(src)?.(packed ? Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0)) : text);
  };

  /** In place of the browser's own `fetch`: runs the script of a data file. @param {RequestInfo | URL} asked */
  window.fetch = async (asked) => {
    const address = new URL(asked instanceof Request ? asked.url : asked, location.href).href.replace(/[?#].*/, "");
    const file = `${address.replace(/\/$/, "/index.html")}.js`;
    const element = document.createElement("script");
    try {
      const body = await new Promise((found, missing) => {
        waiting.set(file, found);
        element.onerror = () => missing(new TypeError(`there is no ${file}`));
        element.src = file;
        document.head.append(element);
      });
      return new Response(body);
    } finally {
      waiting.delete(file);
      element.remove();
    }
  };

  // Links that scripts make end in a folder, for which a web server sends index.html. From a disk, a
  // browser would list the folder's files instead.
  for (const tap of ["click", "auxclick"]) {
    document.addEventListener(
      tap,
      (event) => {
        const link = event.target instanceof Element ? event.target.closest("a") : null;
        if (link?.protocol === "file:" && link.pathname.endsWith("/")) link.pathname += "index.html";
      },
      true,
    );
  }

  /** The address that modules use in place of `import.meta.url`, their own address. */
  places.handbookScripts = script.src;
  /** Makes an import map of the modules. @param {Record<string, string>} modules their sources, by name */
  places.handbookModules = (modules) => {
    const address = (/** @type {string} */ source) => `data:text/javascript;charset=utf-8,${encodeURIComponent(source)}`;
    const imports = Object.entries(modules).map(([name, source]) => [`handbook/${name}`, address(source)]);
    const map = document.createElement("script");
    map.type = "importmap";
    map.textContent = JSON.stringify({ imports: Object.fromEntries(imports) });
    script.before(map);
  };
})();
