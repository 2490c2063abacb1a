"""The pages that lead to lists, and the first steps on the home page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from chorus_handbook.cache import Cache
from chorus_handbook.pages import Site
from chorus_handbook.pages.overviews import by_moment, first_sentence
from chorus_handbook.pages.page import Page
from chorus_handbook.pipeline import draw, read
from chorus_handbook.views import View, Views

VIEW = """
- slug: {slug}
  title: {title}
  intro: For <b>you</b>.
  {moment}
  where: {{impact: 2}}
"""


def site_of(project: Path) -> Site:
    cache = Cache(None)
    site = draw(read(project / "handbook", cache), cache).site
    assert site is not None
    return site


def page_of(site: Site, path: str) -> Page:
    return next(plan for plan in site.plans if plan.path == path).make()


def save_views(project: Path, **moments: str) -> None:
    text = "".join(
        VIEW.format(slug=slug, title=slug.title(), moment=moment and f"moment: {moment}")
        for slug, moment in moments.items()
    )
    (project / "handbook" / "views.yml").write_text(text, encoding="utf-8")


def test_lists_stand_in_the_order_of_a_warm_up_and_those_for_a_situation_last(
    project: Path,
) -> None:
    save_views(project, late="", rest="after", end="closing", start="opening", more="opening")
    site = site_of(project)
    page = page_of(site, "views/index.md")
    headings = ["Early", "Last", "After singing", "By situation"]
    assert [heading.text for heading in page.headings] == headings
    assert re.findall("<h2 id=[^>]*>(.*?)</h2>", page.content) == headings
    links = re.findall(
        '<a href="([^"]*)">([^<]*)</a> <span class="hb-count">1 exercise<', page.content
    )
    assert links == [
        (f"{name.lower()}/", name) for name in ("Start", "More", "End", "Rest", "Late")
    ]
    assert "For &lt;b&gt;you&lt;/b&gt;." in page.content
    assert dict(site.menu)["Lists"] == (
        ("All lists", "views/index.md"),
        *((name.title(), f"views/{name}.md") for name in ("start", "more", "end", "rest", "late")),
    )


def test_every_view_stands_under_one_heading() -> None:
    moments = ("opening", "middle", "closing", "after", None)
    views = Views(tuple(View(str(m), "T", "I", m, ()) for m in reversed(moments)))
    grouped = [
        (anchor, [view.moment for view in members]) for _, anchor, members in by_moment(views)
    ]
    assert grouped == [
        *((f"hb-{moment}", [moment]) for moment in moments[:-1]),
        ("hb-situation", [None]),
    ]


def test_goals_are_shown_that_an_exercise_serves(project: Path) -> None:
    site = site_of(project)
    page = page_of(site, "goals/index.md")
    assert '<a href="breath-flow/">' in page.content and "resonance" not in page.content
    assert [path for _, path in dict(site.menu)["Goals"]] == [
        "goals/index.md",
        "goals/breath-flow.md",
    ]
    assert "gaps.md" in dict(site.menu).values()  # of the top, so that it is seen from any page


def test_others_may_link_to_the_pages(project: Path) -> None:
    save_views(project, start="")
    home = project / "handbook" / "index.md"
    home.write_text("# Home\n\n[lists](views/index.md) [goals](goals/index.md)\n", encoding="utf-8")
    content = page_of(site_of(project), "index.md").content
    assert '<a href="views/"' in content and '<a href="goals/"' in content


@pytest.mark.parametrize(
    ("views", "expected"),
    [
        ({"start": ""}, ["views/", "draft/", "find/", "gaps/", "goals/", "exercises/", "kept/"]),
        ({}, ["goals/", "draft/", "find/", "gaps/", "goals/", "exercises/", "kept/"]),
    ],
)
def test_home_begins_with_a_step_for_each_reader(
    project: Path, views: dict[str, str], expected: list[str]
) -> None:
    """A field to search, then director, assistant, singer; what the author wrote comes after."""
    save_views(project, **views)
    (project / "handbook" / "index.md").write_text("# Home\n\n[x](voice-care.md)\n", "utf-8")
    content = page_of(site_of(project), "index.md").content
    assert re.findall('href="([^"]*)"', content) == ["search/", *expected, "voice-care/"]


@pytest.mark.parametrize(
    ("about", "expected"),
    [
        ("An even stream. Start with breath.", "An even stream."),
        ("Sounds, e.g. a hum, that\ncarry. Say it!", "Sounds, e.g. a hum, that carry."),
        ("All at once! ¡Todos!", "All at once! ¡Todos!"),
        ("What for? Überall.", "What for?"),
        ("no stop at all", "no stop at all"),
    ],
)
def test_the_first_sentence_of_a_goal(about: str, expected: str) -> None:
    assert first_sentence(about) == expected
