"""Shows singers what to practise at home. The home page has a panel with the exercises to practise
for the next warm-up, and a panel with those that were sung last. The page of an exercise names the
warm-ups for which it is to be practised.

Which warm-up is the next depends on the day, so a page has all that are still to come, each with
its date. The browser shows one of them (`browser/coming.js`), and adds the singer's part and last
key to the links (`browser/at_home.js`). The director's remarks in the log are not shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from math import ceil

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages.dates import long_date, time_element
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import HOME, exercise_path, link
from chorus_handbook.records import Exercise
from chorus_handbook.warmups.at_home import AtHome, Evening


def to_practise(at_home: AtHome, stock: Mapping[str, Exercise], chorus: Chorus) -> Markup:
    """The panel of the home page with what to practise; empty if no warm-up that is still to come
    names exercises to practise. `stock` has all exercises, keyed by slug."""
    found = (_evening(HOME, one, stock) for one in at_home.to_practise)
    evenings = [evening for evening in found if evening["exercises"]]
    if not evenings:
        return Markup()
    return render("to_practise.html", evenings=evenings, voices=_voices(chorus))


def last_sung(at_home: AtHome, stock: Mapping[str, Exercise]) -> Markup:
    """The panel of the home page with what was sung last, for those who were absent; empty if no
    warm-up has a log."""
    if at_home.last is None:
        return Markup()
    return render("last_sung.html", evening=_evening(HOME, at_home.last, stock))


def practised_for(path: str, evenings: Sequence[Evening]) -> Markup:
    """Lines at the top of an exercise's page: for which warm-ups it is to be practised. `path` is
    the path of that page."""
    if not evenings:
        return Markup()
    return render("practised_for.html", evenings=[_evening(path, one, {}) for one in evenings])


def _voices(chorus: Chorus) -> list[tuple[str, str]]:
    return [(name, voice.label) for name, voice in chorus.voices.items()]


def _evening(path: str, one: Evening, stock: Mapping[str, Exercise]) -> dict[str, object]:
    """The values that templates need to show a warm-up (`one`) on the page at `path`. Exercises
    that are not in `stock` are left out."""
    day = date.fromisoformat(one.date)
    return {
        "day": one.date,
        "date": time_element(day, long_date(day)),
        "starts": one.starts,
        "title": one.title,
        "link": link(path, one.page),
        "exercises": [*_exercises(path, one.exercises, stock)],
        "minutes": ceil(sum(stock[s].front.minutes for s in one.exercises if s in stock)),
    }


def _exercises(
    path: str, slugs: Iterable[str], stock: Mapping[str, Exercise]
) -> Iterable[dict[str, object]]:
    for slug in slugs:
        if exercise := stock.get(slug):
            front = exercise.front
            yield {
                "slug": slug,
                "title": front.plain or front.title,
                "poetic": front.title if front.plain else "",
                "link": link(path, exercise_path(slug)),
                "heard": bool(exercise.drawings and exercise.sound),
            }
