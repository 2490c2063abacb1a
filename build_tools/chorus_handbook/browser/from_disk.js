// @ts-check
/**
 * Lets pages work that are opened from a disk or a memory stick. There a browser loads no modules and
 * fetches no files, but it runs plain scripts. So this plain script has the modules of the site in it
 * (`pages/from_disk.py` adds them at its end) and names them in an import map; and each data file is
 * there a second time as a script that hands it over. It is only in sites for a memory stick.
 */

(() => {
  const script = /** @type {HTMLScriptElement} */ (document.currentScript);
  /** The address of every file that a page has asked for, and what waits for it. @type {Map<string, (body: BodyInit) => void>} */
  const waiting = new Map();
  const places = /** @type {Record<string, unknown>} */ (/** @type {unknown} */ (window));

  /** Called by the script of a data file, with its text, or with bytes in base64. @param {string} text @param {boolean} packed */
  places.handbookFile = (text, packed) => {
    const { src } = /** @type {HTMLScriptElement} */ (document.currentScript);
    waiting.get(src)?.(packed ? Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0)) : text);
  };

  /** @param {RequestInfo | URL} asked */
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

  // Links that scripts make lead to folders, as on a host. A disk shows what is in a folder.
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

  /** What modules have as their own address. */
  places.handbookScripts = script.src;
  /** @param {Record<string, string>} modules by name, their sources */
  places.handbookModules = (modules) => {
    const address = (/** @type {string} */ source) => `data:text/javascript;charset=utf-8,${encodeURIComponent(source)}`;
    const imports = Object.entries(modules).map(([name, source]) => [`handbook/${name}`, address(source)]);
    const map = document.createElement("script");
    map.type = "importmap";
    map.textContent = JSON.stringify({ imports: Object.fromEntries(imports) });
    script.before(map);
  };
})();
