"""The whole site of a small handbook, as pages and before MkDocs."""

from __future__ import annotations

import re
from pathlib import Path

from chorus_handbook.cache import Cache
from chorus_handbook.pages import Site
from chorus_handbook.pages.page import Page
from chorus_handbook.pipeline import Handbook, draw, read


def run(root: Path) -> Handbook:
    cache = Cache(None)
    return draw(read(root, cache), cache)


def site_of(project: Path) -> Site:
    site = run(project / "handbook").site
    assert site is not None
    return site


def page_of(project: Path, path: str) -> Page:
    return next(page for page in site_of(project).pages if page.path == path)


def test_a_handbook_without_pages_of_its_own_has_all_that_it_needs(project: Path) -> None:
    site = site_of(project)
    assert {page.path for page in site.pages} == {
        "index.md",
        "draft.md",
        "exercises/index.md",
        "find.md",
        "gaps.md",
        "exercises/low-tide.md",
        "goals/breath-flow.md",
        "goals/index.md",
        "goals/resonance.md",
        "kept.md",
        "search.md",
        "voice-care.md",
    }
    assert [title for title, _ in site.menu] == [
        "Home",
        "Find an exercise",
        "Goals",
        "All exercises",
        "Put a warm-up together",
        "What the stock lacks",
        "Voice care",
        "Kept on this device",
    ]
    care = next(page for page in site.pages if page.path == "voice-care.md")
    assert "Stop if it strains." in care.content and "clinician" in care.content


def test_the_font_goes_out_with_its_licence(project: Path) -> None:
    files = site_of(project).files
    assert b"SIL OPEN FONT LICENSE" in files["assets/handbook/lyrics-licence.txt"]
    assert any(re.fullmatch(r"assets/handbook/lyrics\.\w+\.woff2", path) for path in files)


def test_a_chorus_writes_its_own_voice_care(project: Path) -> None:
    (project / "handbook" / "voice-care.md").write_text("# Mind the voice\n\nOurs.\n")
    page = page_of(project, "voice-care.md")
    assert page.title == "Mind the voice" and "Ours." in page.content


def test_sections_come_in_one_order_whatever_that_of_the_file(project: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8")
    text += "\n## Our own\nx\n\n## Listen for\ny\n\n## WHAT GOES WRONG\nz\n"
    exercise.write_text(text.replace("## Say", "## Variations\nv\n\n## Say"), encoding="utf-8")
    page = page_of(project, "exercises/low-tide.md")
    below = ["How to run it", "Listen for", "WHAT GOES WRONG", "Our own"]
    below += ["Voices and keys", "Variations"]  # folded
    assert [heading.text for heading in page.headings] == below
    assert re.findall("<h2 id=[^>]*>(.*?)</h2>", page.content) == below
    order = [page.content.index(part) for part in ("<h1", "hb-say", "hb-score", "<h2", "hb-note")]
    assert order == sorted(order)
    assert "```" not in page.content


def test_footnotes_stand_below_all_sections_and_addresses_fit_the_page(project: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8").replace("Wakes", "Wakes[^1] [all](index.md)")
    exercise.write_text(f"{text}\n[^1]: Slowly. See [care](../voice-care.md#x).\n", "utf-8")
    content = page_of(project, "exercises/low-tide.md").content
    assert content.index("Hum it") < content.index('href="#fn:1"') < content.index('id="fn:1"')
    assert content.index('id="fn:1"') < content.index("hb-note")
    assert '<a href="../" rel="noopener noreferrer">all</a>' in content
    assert '<a href="../../voice-care/#x" rel="noopener noreferrer">care</a>' in content
    assert "handbook:" not in content


def test_what_an_author_writes_is_escaped_in_our_html(project: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8")
    exercise.write_text(text.replace("title: Low tide", 'title: "<b>&\\"Low"'), encoding="utf-8")
    page = page_of(project, "exercises/low-tide.md")
    assert "<h1>&lt;b&gt;&amp;&#34;Low</h1>" in page.content
    assert "<b>" not in page.late["score"] and "&lt;b&gt;&amp;" in page.late["score"]
    home = page_of(project, "exercises/index.md")
    assert "<b>" not in home.content


def test_a_list_of_one_is_not_counted_as_many(project: Path) -> None:
    assert ">The one exercise</a>" in page_of(project, "index.md").content
    assert "1 exercise." in page_of(project, "exercises/index.md").content
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8").replace("Low tide", "High tide")
    exercise.with_name("high-tide.md").write_text(text, encoding="utf-8")
    assert ">All 2 exercises</a>" in page_of(project, "index.md").content
    assert "2 exercises, from A to Z." in page_of(project, "exercises/index.md").content


def test_relations_hold_both_ways(project: Path) -> None:
    folder = project / "handbook" / "exercises"
    text = (folder / "low-tide.md").read_text(encoding="utf-8")
    other = text.replace("Low tide", "High tide").replace(
        "minutes: 2", "minutes: 2\nrelated: [low-tide]"
    )
    (folder / "high-tide.md").write_text(other, encoding="utf-8")
    third = text.replace("Low tide", "Ebb").replace(
        "minutes: 2", "minutes: 2\nleads_to: [low-tide]"
    )
    (folder / "ebb.md").write_text(third, encoding="utf-8")
    end = page_of(project, "exercises/low-tide.md").content
    assert end.index("Before it") < end.index("../ebb/") < end.index("Related")
    assert end.index("Related") < end.index("../high-tide/")


def test_cautions_of_the_manner_stand_on_top(project: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8").replace("impact: 2", "impact: 4")
    exercise.write_text(text.replace("sounding: hum", "sounding: calling"), encoding="utf-8")
    head = page_of(project, "exercises/low-tide.md").content
    assert head.index("Stop if it strains.") < head.index("Impact 4 full singing")


def test_a_broken_handbook_still_has_pages_for_its_author(project: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8")
    text = text.replace("minutes: 2", "minutes: 2\nformation: heap\ncautions: [none]")
    exercise.write_text(text.replace("breath-flow", "breth"), encoding="utf-8")
    book = run(project / "handbook")
    assert book.broken and book.site
    (project / "handbook" / "chorus.yml").write_text("name: [", encoding="utf-8")
    book = run(project / "handbook")
    assert book.broken and book.site is None
