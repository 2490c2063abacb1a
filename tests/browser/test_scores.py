"""The scores as a browser draws them: font, colour and ids. That none is clipped, and no syllable
lies on another, is in `test_every_page.py`."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect


def test_lyrics_are_set_in_the_font_they_were_spaced_for(desktop: Page, site_url: str) -> None:
    desktop.goto(site_url + "exercises/roll-call/")
    loaded = """document.fonts.load('20px "Handbook Lyrics"').then(faces => faces.length)"""
    assert desktop.evaluate(loaded) == 1
    family = desktop.eval_on_selector(
        ".hb-figure svg[role=img] text", "node => getComputedStyle(node).fontFamily"
    )
    assert family.startswith('"Handbook Lyrics"')


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_score_has_the_colour_of_the_text(desktop: Page, site_url: str, scheme: Any) -> None:
    desktop.emulate_media(color_scheme=scheme)
    desktop.goto(site_url + "exercises/long-tide/")
    colours = desktop.evaluate(
        "() => [...document.querySelectorAll('.hb-wide svg *')].flatMap(n => {"
        " const s = getComputedStyle(n); return [s.fill, s.stroke] })"
    )
    ink = desktop.eval_on_selector("h1", "node => getComputedStyle(node).color")
    assert set(colours) <= {ink, "none"}


def test_every_note_has_its_id_once_and_the_narrow_drawing_its_own(
    desktop: Page, site_url: str
) -> None:
    desktop.goto(site_url + "exercises/long-tide/")
    wide = desktop.eval_on_selector_all(".hb-wide [id]", "all => all.map(n => n.id)")
    narrow = desktop.eval_on_selector_all(".hb-narrow [id]", "all => all.map(n => n.id)")
    assert {"soprano-1", "alto-1", "tenor-1", "bass-1"} <= set(wide)
    assert {f"{i}.n" for i in wide if "score" not in i} == {i for i in narrow if "score" not in i}
    assert len(wide) == len(set(wide))


def test_who_reads_a_bass_clef_gets_the_tune_in_it(desktop: Page, site_url: str) -> None:
    """A part is chosen once for all pages; ids stay unique, and the octave is that of the clef."""
    desktop.goto(site_url + "exercises/five-lanterns/")
    usual, bass = (desktop.locator(f".hb-{clef}-clef .hb-wide") for clef in ("treble", "bass"))
    expect(usual).to_be_visible()
    expect(bass).to_be_hidden()
    octave = desktop.locator(".hb-legend:visible")
    expect(octave).to_have_text("Tenor and Bass: an octave lower than written.")
    desktop.locator("select[name=part]").select_option("bass")
    expect(bass).to_be_visible()
    expect(usual).to_be_hidden()
    expect(octave).to_have_text("Soprano and Alto: an octave higher than written.")
    ids = desktop.eval_on_selector_all("[id]", "all => all.map(n => n.id)")
    assert len(ids) == len(set(ids))
    assert {"soprano-1", "soprano-1.b"} <= set(ids)
    desktop.locator("[name=key]").select_option(index=1)
    expect(bass).to_be_visible()
    desktop.reload()
    expect(bass).to_be_visible()
    desktop.locator("select[name=part]").select_option("alto")
    expect(usual).to_be_visible()
    expect(bass).to_be_hidden()
