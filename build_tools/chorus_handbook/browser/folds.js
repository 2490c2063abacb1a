// @ts-check
/**
 * Opens a folded part of a page (a `details` element) when a link leads to it or to something inside it.
 */

/** Opens what is folded around the target of the page's address, and scrolls there. */
function openTarget() {
  let id = "";
  try {
    id = decodeURIComponent(location.hash.slice(1));
  } catch {
    return; // the fragment is not validly encoded
  }
  const target = id ? document.getElementById(id) : null;
  for (let fold = target?.closest("details"); fold; fold = fold.parentElement?.closest("details")) {
    fold.open = true;
  }
  if (target && !target.closest("summary")) target.scrollIntoView();
}

addEventListener("hashchange", openTarget);
openTarget();
