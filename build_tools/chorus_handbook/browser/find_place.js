// @ts-check
/**
 * Where a reader was on the page "Find an exercise": what was open, how many exercises were shown, and how
 * far down the page was. It is kept in the history beside the address, so that "Back" from an exercise
 * leads to the same place, even though the list is drawn only after the page has loaded.
 */

/** @typedef {{open: boolean, more: boolean, shown: number, top: number}} FoundPlace */

/** Milliseconds without scrolling after which the place is kept. */
const SETTLED = 150;

/** The place that was kept for the page as it is being opened; null if there is none. @returns {FoundPlace | null} */
export function keptPlace() {
  const place = history.state?.found;
  return place && Number.isFinite(place.top) && Number.isFinite(place.shown) ? place : null;
}

/** Keeps the place from now on. @param {() => Omit<FoundPlace, "top">} seen says what is open and shown */
export function keepPlace(seen) {
  let timer = 0;
  const keep = () => {
    clearTimeout(timer);
    history.replaceState({ ...history.state, found: { ...seen(), top: window.scrollY } }, "");
  };
  const later = () => {
    clearTimeout(timer);
    timer = window.setTimeout(keep, SETTLED);
  };
  history.scrollRestoration = "manual"; // the browser would scroll before there is a list
  window.addEventListener("scroll", later, { passive: true });
  // a link may be followed before the timer has run out
  document.addEventListener("click", (event) => event.target instanceof Element && event.target.closest("a") && keep(), { capture: true });
}

/** Goes back to a place, once everything is drawn. @param {FoundPlace} place */
export function goTo({ top }) {
  window.scrollTo({ top, behavior: "instant" });
}
