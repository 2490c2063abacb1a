// @ts-check
/**
 * Lets a reader move the items of a list by their handles: by dragging with a finger, a pen or a
 * mouse, or with the arrow keys while a handle has the focus.
 */

/**
 * Makes the items of a list movable.
 * @param {HTMLElement} list
 * @param {string} handle selects the handle within an item
 * @param {(from: number, to: number) => void} move called with the old and the new place of an item,
 *   from 0; it changes the list, which this module does not
 */
export function makeMovable(list, handle, move) {
  /** @type {{row: HTMLElement, from: number, y: number} | null} */
  let dragged = null;
  const rows = () => /** @type {HTMLElement[]} */ ([...list.children]);
  const handleAt = (/** @type {Event} */ { target }) => (target instanceof Element ? target.closest(handle) : null);

  list.addEventListener("keydown", (event) => {
    const row = handleAt(event)?.closest("li");
    const by = event.key === "ArrowUp" ? -1 : event.key === "ArrowDown" ? 1 : 0;
    if (!row || !by) return;
    event.preventDefault();
    const from = rows().indexOf(row);
    if (rows()[from + by]) move(from, from + by);
  });
  list.addEventListener("pointerdown", (event) => {
    const found = handleAt(event);
    const row = found?.closest("li");
    if (!found || !row || event.button) return;
    found.setPointerCapture(event.pointerId);
    dragged = { row, from: rows().indexOf(row), y: event.clientY };
  });
  list.addEventListener("pointermove", (event) => {
    if (!dragged) return;
    const { row, from, y } = dragged;
    row.classList.add("hb-dragged");
    row.style.transform = `translateY(${event.clientY - y}px)`;
    const to = placeAt(rows(), row, event.clientY);
    for (const [place, one] of rows().entries()) {
      one.classList.toggle("hb-drop-above", place === to && to < from);
      one.classList.toggle("hb-drop-below", place === to && to > from);
    }
  });
  const end = (/** @type {PointerEvent} */ event) => {
    if (!dragged) return;
    const { row, from } = dragged;
    const moved = row.classList.contains("hb-dragged");
    const to = placeAt(rows(), row, event.clientY);
    for (const one of rows()) one.classList.remove("hb-drop-above", "hb-drop-below", "hb-dragged");
    row.style.transform = "";
    dragged = null;
    if (moved && event.type === "pointerup" && to !== from) move(from, to);
  };
  list.addEventListener("pointerup", end);
  list.addEventListener("pointercancel", end);
}

/** The place, from 0, to which a row goes if it is dropped `y` pixels below the top of the window. @param {HTMLElement[]} rows @param {HTMLElement} dragged the row @param {number} y */
function placeAt(rows, dragged, y) {
  const others = rows.filter((row) => row !== dragged).map((row) => row.getBoundingClientRect());
  if (others.length && others.every(({ bottom }) => y > bottom)) return rows.length - 1;
  if (others.length && others.every(({ top }) => y < top)) return 0;
  const place = rows.findIndex((row) => {
    const { top, bottom } = row.getBoundingClientRect();
    return row !== dragged && y >= top && y <= bottom;
  });
  return place < 0 ? rows.indexOf(dragged) : place;
}
