"""Pages that list exercises: saved views, goals, and all of them from A to Z."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus, Goal
from chorus_handbook.pages import words
from chorus_handbook.pages.exercise import Exercise
from chorus_handbook.pages.figure import shared_sprite
from chorus_handbook.pages.html import render
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.pages.page import Page, late_slot, link, slot
from chorus_handbook.views import View

ALL = "exercises/index.md"


def exercise_list(page_path: str, exercises: Iterable[Exercise], chorus: Chorus) -> Markup:
    """The HTML of one list; thumbnails are set in late."""
    return render(
        "list.html",
        rows=[
            {
                "slug": exercise.slug,
                "title": exercise.entry.front.title,
                "summary": exercise.entry.front.summary,
                "link": link(page_path, exercise.path),
                "impact": words.impact(exercise.entry.front.impact),
                "minutes": words.minutes(exercise.entry.front.minutes),
                "voices": words.who_sings(exercise.score, chorus),
                "drawn": exercise.engraved is not None,
            }
            for exercise in exercises
        ],
    )


def set_in_late(page_path: str, exercises: Iterable[Exercise], chorus: Chorus) -> dict[str, Markup]:
    """What a page with lists needs set in late: each thumbnail, their sprite, and the form that
    limits the lists."""
    drawn = {e.slug: e.engraved for e in exercises if e.engraved}
    late = {f"thumb-{slug}": Markup(engraved.thumbnail) for slug, engraved in drawn.items()}
    late["sprite"] = shared_sprite(drawn.values())
    late["own-range"] = own_range(page_path, chorus)
    return late


def view_page(view: View, stock: Mapping[str, Exercise], chorus: Chorus) -> Page:
    """The page of one saved view."""
    members = [stock[slug] for slug in view.members if slug in stock]
    return _page(f"views/{view.slug}.md", view.title, [view.intro], members, chorus)


def goal_page(name: str, goal: Goal, members: Sequence[Exercise], chorus: Chorus) -> Page:
    """The page of one goal, with the paragraph that teaches it."""
    paragraphs = [" ".join(p.split()) for p in goal.about.split("\n\n") if p.strip()]
    return _page(f"goals/{name}.md", goal.label, paragraphs, members, chorus)


def _page(
    path: str, title: str, intro: list[str], members: Sequence[Exercise], chorus: Chorus
) -> Page:
    body = render("empty.html")
    if members:
        body = late_slot("own-range") + exercise_list(path, members, chorus)
    return Page(
        path=path,
        title=title,
        description=intro[0] if intro else title,
        markdown=slot("head") + slot("list"),
        slots={
            "head": render("page_head.html", title=title, intro=intro),
            "list": late_slot("sprite") + body,
        },
        late=set_in_late(path, members, chorus),
    )


def all_page(exercises: Sequence[Exercise], chorus: Chorus) -> Page:
    """All exercises from A to Z, a heading a letter."""
    ordered = sorted(exercises, key=lambda e: (_initial(e), e.entry.front.title.casefold()))
    slots = {
        "head": render(
            "page_head.html",
            title="All exercises",
            intro=[
                words.plural(len(exercises), "exercise")
                + (", from A to Z." if exercises[1:] else ".")
            ],
        )
        + late_slot("sprite")
        + (late_slot("own-range") if exercises else "")
    }
    markdown = slot("head")
    for letter, group in groupby(ordered, _initial):
        name = f"letter-{letter.lower() if letter.isalpha() else 'other'}"
        slots[name] = exercise_list(ALL, group, chorus)
        markdown += f"\n\n## {letter}\n" + slot(name)
    return Page(
        path=ALL,
        title="All exercises",
        description="Every exercise from A to Z.",
        markdown=markdown,
        slots=slots,
        late=set_in_late(ALL, exercises, chorus),
    )


def _initial(exercise: Exercise) -> str:
    """The letter an exercise stands under; accents do not count."""
    first = unicodedata.normalize("NFKD", exercise.entry.front.title.strip())[:1].upper()
    return first if first.isascii() and first.isalpha() else "0–9 and others"
