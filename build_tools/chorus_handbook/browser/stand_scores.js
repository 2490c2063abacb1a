// @ts-check
/**
 * The scores of the music stand. They are on the pages of the exercises, in every key; the stand
 * fetches these pages once, while there is a connection, and shows one key at a time.
 */

import { gettext } from "./words.js";

export class StandScores {
  constructor() {
    /** By address, the pages that were requested. @type {Map<string, Promise<Document>>} */
    this.pages = new Map();
  }

  /** The page at an address. If it could not be fetched, the next call tries again. @param {string} address */
  page(address) {
    const page = this.pages.get(address) ?? fetchPage(address);
    this.pages.set(address, page);
    page.catch(() => this.pages.delete(address));
    return page;
  }

  /** Fetches these pages in advance. @param {string[]} addresses */
  fetchAll(addresses) {
    for (const address of addresses) this.page(address).catch(() => {}); // a tap tries again
  }

  /**
   * The score of an exercise in a key, or in its first key if it has no such key. Rejects with an
   * Error that says what is wrong.
   * @param {string} address of the page of the exercise
   * @param {string} key
   */
  async score(address, key) {
    const page = await this.page(address);
    const found = page.querySelector(".hb-figure");
    if (!(found instanceof HTMLElement)) throw new Error(gettext("The score is missing from the page of this exercise."));
    const figure = document.importNode(found, true);
    const other = page.querySelector(`template[data-key="${CSS.escape(key)}"]`);
    if (figure.dataset.key !== key && other instanceof HTMLTemplateElement) {
      figure.querySelector(".hb-drawings")?.replaceChildren(document.importNode(other.content, true));
      figure.dataset.key = key;
    }
    for (const script of figure.querySelectorAll("script")) script.remove();
    return figure;
  }
}

/** Fetches a page. Rejects with an Error whose message is for the reader. @param {string} address */
async function fetchPage(address) {
  const missing = new Error(gettext("The score cannot be loaded. Check the connection, and tap again."));
  const answer = await fetch(new URL(address, location.href)).catch(() => Promise.reject(missing));
  if (!answer.ok) throw missing;
  return new DOMParser().parseFromString(await answer.text(), "text/html");
}
