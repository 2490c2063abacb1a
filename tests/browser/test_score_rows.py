"""Scale numbers and sol-fa under the notes and names of chords above, as a reader switches them on:
kept, in every key and layout, and, by boxes in every exercise, on nothing else."""

from __future__ import annotations

import os
from pathlib import Path

from playwright.sync_api import Locator, Page, expect

#: Parts and unison, five verses, two singers on a staff, speech, chords, minor, bars of rests.
#: The first and the last key; `BOXES=all` has all exercises in all keys.
EXERCISES = ("eddies", "five-lanterns", "half-a-fathom", "ropes-fast", "three-strands")
#: Puts the drawings of an exercise into the page, rows under all of them, and finds the texts of
#: rows that lie on another text, a sign, or a line; what a path covers is asked of the browser.
COLLISIONS = """
async ([slug, names, everyKey]) => {
  const modules = [...document.scripts].find(({ src }) => src.includes("/row_choices.")).src;
  const { showRows } = await import(new URL("score_rows.js", modules));
  const { degreeRows } = await import(new URL("degree_rows.js", modules));
  const text = await (await fetch(`../${slug}/`)).text();
  const page = new DOMParser().parseFromString(text, "text/html");
  const figure = page.querySelector(".hb-figure");
  if (!figure?.querySelector("svg[role=img]")) return [0, 0, []];
  const further = [...page.querySelectorAll("template[data-key]")];
  const main = document.querySelector("article");
  main.replaceChildren(figure);
  const notes = await (await fetch(`../../assets/handbook/${slug}/notes.json`)).json();
  const rows = degreeRows(notes, names);
  await showRows(figure, "degrees", () => rows);
  const above = (rows[0]?.texts ?? []).map(({ note }) => ({ note, lines: ["B♭m7"] }));
  await showRows(figure, "chords", () => [{ side: "above", texts: above }]);
  const covers = (e) => {
    const { x, y, width, height } = e.getBBox();
    if (!(e instanceof SVGTextElement)) return [x, y, x + width, y + height];
    const line = +e.getAttribute("y"), size = parseFloat(getComputedStyle(e).fontSize);
    const low = /[gjpqy,;()]/.test(e.textContent) ? size * 0.22 : 0;
    const high = /[bdfhijklt0-9A-Z()'’]/.test(e.textContent) ? 0.68 : 0.46;
    return [x, line - size * high, x + width, line + low];
  };
  const found = [];
  let drawn = 0, written = 0;
  for (const key of [null, ...(everyKey ? further : further.slice(-1))]) {
   if (key) {
    figure.querySelector(".hb-drawings").replaceChildren(key.content);
    figure.dispatchEvent(new CustomEvent("handbook:key"));
   }
   for (const svg of figure.querySelectorAll("svg[role=img]")) {
    drawn += 1;
    const labels = [...svg.querySelectorAll(".hb-row text")];
    written += labels.length;
    const { x, y, width, height } = svg.viewBox.baseVal;
    const others = [...svg.querySelectorAll("text, use, circle, path")].map((e) => [e, covers(e)]);
    for (const label of labels) {
      const [left, top, right, bottom] = covers(label);
      const inside = x <= left && right <= x + width && y <= top && bottom <= y + height;
      if (!inside) found.push(`${slug}: ${label.textContent} is cut off`);
      for (const [other, [l, t, r, b]] of others) {
        if (other === label || r <= left || right <= l || b <= top || bottom <= t) continue;
        if (other instanceof SVGPathElement) {
          const hit = [0, 0.25, 0.5, 0.75, 1].some((across) => [0, 0.5, 1].some((down) => {
            const point = new DOMPoint(left + across * (right - left), top + down * (bottom - top));
            return other.isPointInStroke(point) || other.isPointInFill(point);
          }));
          if (!hit) continue;
        }
        found.push(`${slug}: ${label.textContent} on ${other.outerHTML.slice(0, 60)}`);
      }
    }
   }
  }
  return [drawn, written, found];
}
"""


def test_no_row_lies_on_anything(phone: Page, site_url: str, demo_site: Path) -> None:
    phone.goto(site_url + "exercises/slipway/")
    phone.add_style_tag(
        content=":is(.hb-wide, .hb-narrow, .hb-bass-clef) { display: block !important }"
    )
    everything = sorted(path.parent.name for path in demo_site.glob("exercises/*/index.html"))
    thorough = os.environ.get("BOXES") == "all"
    slugs = everything if thorough else EXERCISES
    counts = [phone.evaluate(COLLISIONS, [slug, "sol-fa", thorough]) for slug in slugs]
    assert "\n".join(found for _, _, all_found in counts for found in all_found) == ""
    assert sum(drawn for drawn, _, _ in counts) > 2 * len(EXERCISES)
    assert sum(written for _, written, _ in counts) > 200


def middle(element: Locator) -> float:
    box = element.bounding_box()
    assert box
    return box["x"] + box["width"] / 2


def test_a_reader_switches_them_on_and_keeps_them(desktop: Page, site_url: str) -> None:
    """Off until it is asked for, without a script for it; then in every key and on the next page,
    in both layouts."""
    asked: list[str] = []
    desktop.on("request", lambda request: asked.append(request.url))
    desktop.goto(site_url + "exercises/three-strands/")
    choice = desktop.locator("select[name=under-notes]")
    expect(choice).to_have_value("nothing")
    desktop.locator(".hb-player-options > summary").click()
    shown = desktop.locator(".hb-wide:visible .hb-degrees text")
    assert not any("score_rows" in url for url in asked)
    choice.select_option("sol-fa")
    expect(shown.first).to_have_text("mi")  # the fifth of minor
    choice.select_option("numbers")
    expect(shown.first).to_have_text("5")
    chords = desktop.locator("[name=chord-names]")
    symbols = desktop.locator(".hb-wide:visible .hb-chords text")
    expect(chords).not_to_be_checked()
    expect(desktop.locator(".hb-chords li")).to_have_count(4)  # bar by bar, whether chosen or not
    chords.check()
    expect(symbols).to_have_text("Dm Gm7 C7 Fmaj7 B♭maj7 Eø7 A7".split())
    desktop.locator("[name=key]").select_option(index=1)
    expect(shown.first).to_have_text("5")
    expect(symbols).to_have_text("E♭m A♭m7 D♭7 G♭maj7 C♭maj7 Fø7 B♭7".split())
    for symbol, note in ((symbols.first, "soprano-1"), (symbols.nth(1), "soprano-2")):
        head = desktop.locator(f"[id='{note}'] use").first
        assert abs(middle(symbol) - middle(head)) < 2
    desktop.goto(site_url + "exercises/high-water/")
    expect(choice).to_have_value("numbers")
    expect(symbols.first).to_have_text("C")
    desktop.locator(".hb-player-options > summary").click()
    expect(shown.first).to_have_text("5")
    chords.uncheck()
    expect(symbols).to_have_count(0)
    desktop.set_viewport_size({"width": 390, "height": 844})
    expect(desktop.locator(".hb-narrow:visible .hb-degrees text").first).to_have_text("5")
    height = desktop.locator(".hb-narrow:visible svg").first.get_attribute("viewBox")
    choice.select_option("nothing")
    expect(desktop.locator(".hb-degrees")).to_have_count(0)
    assert desktop.locator(".hb-narrow:visible svg").first.get_attribute("viewBox") != height
