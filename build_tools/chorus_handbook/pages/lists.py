"""Pages that list exercises: saved views, goals, and all of them from A to Z."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import groupby

from markupsafe import Markup

from chorus_handbook.catalogue import _, ngettext
from chorus_handbook.chorus.model import Chorus, Goal
from chorus_handbook.engraving import sprite
from chorus_handbook.entries.model import EXERCISE, Heading
from chorus_handbook.pages import words
from chorus_handbook.pages.exercise import page_path
from chorus_handbook.pages.html import render
from chorus_handbook.pages.learning_words import minutes, to_learn
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.pages.page import Page, late_slot, link
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Thumbnail
from chorus_handbook.views import View

ALL = EXERCISE.page("index")


#: Gives the thumbnail of an exercise, None where there is none.
Thumbnails = Callable[[Exercise], Thumbnail | None]


def exercise_list(path: str, exercises: Iterable[Exercise], chorus: Chorus) -> Markup:
    """The HTML of one list on the page at `path`; thumbnails are set in late."""
    return render(
        "list.html",
        rows=[
            {
                "slug": exercise.slug,
                "title": exercise.front.title,
                "plain": exercise.front.plain,
                "summary": exercise.front.summary,
                "link": link(path, page_path(exercise.slug)),
                "impact": words.impact(exercise.front.impact),
                "to_learn": to_learn(exercise.front, exercise.facts),
                "minutes": minutes(exercise.front.minutes),
                "voices": words.who_sings(exercise.facts, chorus),
                "drawn": bool(exercise.drawings),
            }
            for exercise in exercises
        ],
    )


def set_in_late(
    path: str, exercises: Iterable[Exercise], thumbnails: Thumbnails, chorus: Chorus
) -> dict[str, Markup]:
    """What a page with lists needs set in late: each thumbnail, their sprite, and the form that
    limits the lists."""
    drawn = {e.slug: small for e in exercises if (small := thumbnails(e))}
    late = {f"thumb-{slug}": Markup(small.svg) for slug, small in drawn.items()}
    symbols = {name: sign for small in drawn.values() for name, sign in small.symbols.items()}
    late["sprite"] = Markup(sprite(dict(sorted(symbols.items()))))
    late["own-range"] = own_range(path, chorus)
    return late


def view_page(
    view: View, stock: Mapping[str, Exercise], thumbnails: Thumbnails, chorus: Chorus
) -> Page:
    """The page of one saved view."""
    members = [stock[slug] for slug in view.members]
    path = f"views/{view.slug}.md"
    return _page(path, view.title, [view.intro], members, thumbnails, chorus)


def goal_page(
    name: str, goal: Goal, members: Sequence[Exercise], thumbnails: Thumbnails, chorus: Chorus
) -> Page:
    """The page of one goal, with the paragraph that teaches it."""
    paragraphs = [" ".join(p.split()) for p in goal.about.split("\n\n") if p.strip()]
    return _page(f"goals/{name}.md", goal.label, paragraphs, members, thumbnails, chorus)


def _page(
    path: str,
    title: str,
    intro: list[str],
    members: Sequence[Exercise],
    thumbnails: Thumbnails,
    chorus: Chorus,
) -> Page:
    body = render("empty.html")
    if members:
        body = late_slot("own-range") + exercise_list(path, members, chorus)
    return Page(
        path=path,
        title=title,
        description=intro[0] if intro else title,
        content=render("page_head.html", title=title, intro=intro) + late_slot("sprite") + body,
        make_late=lambda: set_in_late(path, members, thumbnails, chorus),
    )


def all_title() -> str:
    """What the page of all exercises is called."""
    return _(EXERCISE.list_title)


def all_page(exercises: Sequence[Exercise], thumbnails: Thumbnails, chorus: Chorus) -> Page:
    """All exercises from A to Z, a heading a letter."""
    ordered = sorted(exercises, key=lambda e: (_initial(e), e.front.title.casefold()))
    head = render(
        "page_head.html",
        title=all_title(),
        intro=[ngettext("{n} exercise.", "{n} exercises, from A to Z.", len(exercises))],
    )
    content = head + late_slot("sprite") + (late_slot("own-range") if exercises else Markup())
    headings = []
    for letter, group in groupby(ordered, _initial):
        anchor = letter.lower() if letter.isalpha() else "others"
        headings.append(Heading(2, anchor, letter))
        listed = exercise_list(ALL, group, chorus)
        content += Markup('<h2 id="{}">{}</h2>{}').format(anchor, letter, listed)
    return Page(
        path=ALL,
        title=all_title(),
        description=_("Every exercise from A to Z."),
        content=content,
        headings=tuple(headings),
        make_late=lambda: set_in_late(ALL, exercises, thumbnails, chorus),
    )


def _initial(exercise: Exercise) -> str:
    """The letter an exercise stands under; accents do not count."""
    first = unicodedata.normalize("NFKD", exercise.front.title.strip())[:1].upper()
    return first if first.isascii() and first.isalpha() else _("0–9 and others")
