"""Pages that list exercises: those of saved views, of goals, and all of them from A to Z. The lists
themselves are inserted late (`page.late_slot`), because thumbnails make them large."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import groupby

from markupsafe import Markup

from chorus_handbook.catalogue import _, joined, ngettext
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.engraving.engraved import sprite
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.entries.rendered import Heading
from chorus_handbook.pages import words
from chorus_handbook.pages.facets import query
from chorus_handbook.pages.find import FIND
from chorus_handbook.pages.html import render
from chorus_handbook.pages.kept import keep_button
from chorus_handbook.pages.learning_words import level_word, minutes_in_table
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.pages.page import ALL, Page, exercise_path, late_slot, link
from chorus_handbook.pages.sung import first_days, last_sung
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Thumbnail
from chorus_handbook.views import View
from chorus_handbook.warmups.rotation import Log

#: Returns the thumbnail of an exercise, or None.
Thumbnails = Callable[[Exercise], Thumbnail | None]


def exercise_list(
    path: str,
    name: str,
    exercises: Iterable[Exercise],
    thumbnails: Thumbnails,
    config: ChorusConfig,
    log: Log,
    goal: str = "",
) -> Markup:
    """The HTML of one list with the title `name`, for a late slot of the page at `path`. On the
    page of a `goal`, each exercise shows only its other goals."""
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    return render(
        "list.html",
        name=name,
        goal=goal,
        log=first_days(log),
        columns=[
            *(_("Exercise"), _("First notes"), _("Also for") if goal else _("Goals")),
            *(_("Impact"), _("To learn"), _("Minutes"), _("Voices"), _("First key")),
        ],
        rows=[
            {
                "slug": exercise.slug,
                "title": exercise.front.title,
                "plain": exercise.front.plain,
                "summary": exercise.front.summary,
                "sung": last_sung(exercise.slug, log),
                "link": link(path, exercise_path(exercise.slug)),
                "thumbnail": Markup(small.svg) if (small := thumbnails(exercise)) else "",
                "goals": joined(
                    vocabulary.goals[served].label
                    for served in exercise.front.goals
                    if served != goal and served in vocabulary.goals
                ),
                "impact": words.impact_in_table(exercise.front.impact),
                "to_learn": level_word(exercise.front, exercise.facts),
                "minutes": minutes_in_table(exercise.front, exercise.facts),
                "voices": words.who_sings(exercise.facts, chorus),
                "key": words.first_key(exercise.facts),
            }
            for exercise in exercises
        ],
    )


def around_lists(
    path: str, exercises: Iterable[Exercise], thumbnails: Thumbnails, config: ChorusConfig
) -> dict[str, Markup]:
    """The HTML for the other late slots of a page with lists: the sprite of the thumbnails' glyphs,
    and the form in which a reader sets a range."""
    assert config.chorus
    drawn = [small for exercise in exercises if (small := thumbnails(exercise))]
    symbols = {name: sign for small in drawn for name, sign in small.symbols.items()}
    sprites = Markup(sprite(dict(sorted(symbols.items()))))
    return {"sprite": sprites, "own-range": own_range(path, config.chorus, limits_lists=True)}


def view_page(
    view: View,
    stock: Mapping[str, Exercise],
    thumbnails: Thumbnails,
    config: ChorusConfig,
    log: Log,
    narrowed: str,
) -> Page:
    """The page of one saved view. `narrowed` is the query with which the page "Find an exercise"
    finds the same exercises (`facets.address_of`)."""
    members = [stock[slug] for slug in view.members]
    path = f"views/{view.slug}.md"
    return _page(path, view.title, [view.intro], members, thumbnails, config, log, narrowed)


def goal_page(
    name: str,
    members: Sequence[Exercise],
    thumbnails: Thumbnails,
    config: ChorusConfig,
    log: Log,
) -> Page:
    """The page of one goal: its explanation, and the exercises (`members`) that serve it."""
    assert config.vocabulary
    goal, narrowed = config.vocabulary.goals[name], query({"goals": [name]})
    paragraphs = [" ".join(p.split()) for p in goal.about.split("\n\n") if p.strip()]
    return _page(
        *(f"goals/{name}.md", goal.label, paragraphs, members, thumbnails, config, log),
        *(narrowed, name),
    )


def _page(
    path: str,
    title: str,
    intro: list[str],
    members: Sequence[Exercise],
    thumbnails: Thumbnails,
    config: ChorusConfig,
    log: Log,
    narrowed: str,
    goal: str = "",
) -> Page:
    body = render("empty.html")
    if members:
        keep = keep_button(title, _("Keep this list on this device"))
        shown = late_slot("own-range") + _lists([late_slot("list")])
        body = _narrow(path, narrowed) + shown + keep

    def late() -> dict[str, Markup]:
        listed = exercise_list(path, title, members, thumbnails, config, log, goal)
        return {"list": listed, **around_lists(path, members, thumbnails, config)}

    return Page(
        path=path,
        title=title,
        description=intro[0] if intro else title,
        content=render("page_head.html", title=title, intro=intro) + late_slot("sprite") + body,
        make_late=late,
    )


def _narrow(path: str, narrowed: str = "") -> Markup:
    """The link to the page "Find an exercise". `narrowed` is a query with which that page finds the
    same exercises as the list."""
    return render("narrow_link.html", link=link(path, FIND) + narrowed)


def _lists(lists: Iterable[Markup]) -> Markup:
    """The lists of a page in the element whose width decides between table and cards."""
    return Markup('<div class="hb-lists">{}</div>').format(Markup().join(lists))


def all_page(
    exercises: Sequence[Exercise], thumbnails: Thumbnails, config: ChorusConfig, log: Log
) -> Page:
    """The page of all exercises from A to Z, with a heading for each letter."""
    ordered = sorted(exercises, key=lambda e: (_initial(e), e.front.title.casefold()))
    head = render(
        "page_head.html",
        title=_(EXERCISE.list_title),
        intro=[ngettext("{n} exercise.", "{n} exercises, from A to Z.", len(exercises))],
    )
    content = head + late_slot("sprite")
    if exercises:
        content += _narrow(ALL) + late_slot("own-range")
    groups = [
        (_anchor(letter), letter, list(found)) for letter, found in groupby(ordered, _initial)
    ]
    lists = [
        Markup('<h2 id="{}">{}</h2>{}').format(anchor, letter, late_slot(f"list-{anchor}"))
        for anchor, letter, _members in groups
    ]

    def late() -> dict[str, Markup]:
        listed = {
            f"list-{anchor}": exercise_list(ALL, letter, members, thumbnails, config, log)
            for anchor, letter, members in groups
        }
        return listed | around_lists(ALL, exercises, thumbnails, config)

    return Page(
        path=ALL,
        title=_(EXERCISE.list_title),
        description=_("Every exercise from A to Z."),
        content=content + (_lists(lists) if lists else Markup()),
        headings=tuple(Heading(2, anchor, letter) for anchor, letter, _members in groups),
        make_late=late,
    )


def _anchor(letter: str) -> str:
    return letter.lower() if letter.isalpha() else "others"


def _initial(exercise: Exercise) -> str:
    """The letter under which an exercise is listed, without its accent."""
    first = unicodedata.normalize("NFKD", exercise.front.title.strip())[:1].upper()
    return first if first.isascii() and first.isalpha() else _("0–9 and others")
