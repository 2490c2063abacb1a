"""Makes search.json, in which the search finds exercises and pages. Pages load it, like the search
itself, only when a reader begins to search.

It holds what readers may remember of a page: its other names, the everyday words that lead to it
(`chorus/words.py`), and its text, one paragraph a line. Title, goals and numbers of an exercise are
in index.json, which the search loads too.

`VERSION` is raised when a field is removed or changes its meaning. The browser checks it, because
it may have an older copy of the file than of its scripts.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import unescape
from typing import Any

from chorus_handbook import catalogue
from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.chorus.words import words_by_page
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.rendered import Section
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP, RoutineItem
from chorus_handbook.music.learning import known_minutes
from chorus_handbook.pages.dates import long_date
from chorus_handbook.pages.page import HOME, PlannedPage, exercise_path, url_of
from chorus_handbook.records import Exercise
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.views import Views

VERSION: int = FACTS["formats"]["search"]

#: Where a paragraph, an item, a term or a row ends.
_END = re.compile(r"</(?:p|li|dt|dd|tr|h[1-6]|blockquote|pre)>|<br ?/?>")
_TAG = re.compile(r"<[^>]*>")
_SPACES = re.compile(r"\s+")
#: A heading within a section, with its id, or a term of a glossary.
_PART = re.compile(r'<h[3-6][^>]*\bid="([^"]*)"[^>]*>(.*?)</h[3-6]>|<dt>(.*?)</dt>', re.DOTALL)


def search_json(
    stock: Mapping[str, Exercise],
    texts: Sequence[Text[Any]],
    views: Views,
    plans: Iterable[PlannedPage],
    vocabulary: Vocabulary,
) -> bytes:
    """The content of search.json. Equal handbooks give equal bytes. `plans` are all pages of
    the site; a page of which nothing else is known here is found by its title."""
    words = words_by_page(vocabulary)

    def led_by(path: str) -> dict[str, list[str]]:
        return {"words": words[path]} if path in words else {}

    exercises = {
        slug: {**_exercise(exercise), **led_by(exercise_path(slug))}
        for slug, exercise in sorted(stock.items())
    }
    of_exercises = {exercise_path(slug) for slug in stock}
    described = {
        **{f"views/{view.slug}.md": _list(view.title, view.intro) for view in views.saved},
        **{
            f"goals/{n}.md": _list(goal.label, goal.about, "goal")
            for n, goal in vocabulary.goals.items()
        },
        **{text.page: _text(text, stock) for text in texts if text.page != HOME},
    }
    pages = [
        {
            "url": url_of(plan.path),
            **described.get(plan.path, _page(plan)),
            **led_by(plan.path),
        }
        for plan in plans
        if plan.path not in of_exercises
    ]
    data = {
        "version": VERSION,
        "language": catalogue.language(),
        "exercises": exercises,
        "pages": pages,
    }
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def _exercise(exercise: Exercise) -> dict[str, Any]:
    """The entry of an exercise: what the search needs of it beyond index.json."""
    front, facts = exercise.front, exercise.facts
    measured = [facts.meter, *([] if facts.mode == "major" else [facts.mode])] if facts else []
    sung = [phrase for phrase in facts.phrases if phrase] if facts else []
    body = [line for section in exercise.source.body.sections for line in lines_of(section.html)]
    return {
        "names": [*front.also_called, *([front.cue] if front.cue else [])],
        "about": [*measured, *([_("round")] if front.round else [])],
        "text": "\n".join([*body, *sung]),
    }


def _page(plan: PlannedPage) -> dict[str, Any]:
    """The entry of a page that nothing else is known of."""
    about = {"summary": plan.about} if plan.about else {}
    return {"kind": "page", "title": plan.title, **about}


def _list(title: str, about: str, kind: str = "list") -> dict[str, Any]:
    """The entry of a page that lists exercises."""
    return {"kind": kind, "title": title, "summary": about}


def _text(text: Text[Any], stock: Mapping[str, Exercise]) -> dict[str, Any]:
    """The entry of a warm-up, a routine or another page that an author wrote."""
    front = text.front
    if text.kind not in {WARM_UP.name, ROUTINE.name}:
        return {
            "kind": "page",
            "title": text.title,
            "parts": list(_parts(text.source.body.sections)),
        }
    said = [
        note
        for item in front.items
        for note in (item.note, item.variation, getattr(item, "remark", None))
        if note
    ]
    body = [line for section in text.source.body.sections for line in lines_of(section.html)]
    entry = {"kind": text.kind, "title": text.title, "about": [_("warm-up")]}
    if text.kind == ROUTINE.name:
        times = (_minutes(item, stock) for item in front.items)
        lines = "\n".join([*body, *said])
        summary = front.summary or ""
        return {**entry, "summary": summary, "minutes": round(sum(times)), "text": lines}
    into = front.leads_into
    lines = "\n".join([*([into.piece] if into and into.piece else []), *body, *said])
    return {**entry, "summary": long_date(front.day), "minutes": front.minutes, "text": lines}


def _minutes(item: RoutineItem, stock: Mapping[str, Exercise]) -> float:
    """How many minutes an item of a routine takes; 0 if its exercise has errors or is missing and
    the item states no minutes."""
    exercise = stock.get(item.exercise)
    return item.minutes or (known_minutes(exercise.front, exercise.facts) if exercise else 0)


def _parts(sections: Sequence[Section]) -> Iterator[dict[str, str]]:
    """The parts of a page, each under a heading or a term: its heading, its id in the page and its
    text. What comes before the first heading has neither."""
    for section in sections:
        anchor = section.head.anchor if section.head else ""
        # the HTML before the first part, then for each part its id, heading, term and HTML
        pieces = _PART.split(section.html)
        yield _part(section.heading, anchor, pieces[0])
        for inner, heading, term, html in zip(*(pieces[n::4] for n in range(1, 5)), strict=True):
            anchor = unescape(inner) if inner else anchor
            yield _part(" ".join(lines_of(heading or term)), anchor, html)


def _part(heading: str, anchor: str, html: str) -> dict[str, str]:
    return {
        **({"heading": heading} if heading else {}),
        **({"anchor": anchor} if anchor else {}),
        "text": "\n".join(lines_of(html)),
    }


def lines_of(html: str) -> list[str]:
    """The text of cleaned HTML, with one line for each paragraph or item of a list."""
    lines = (_SPACES.sub(" ", unescape(_TAG.sub("", piece))) for piece in _END.split(html))
    return [line.strip() for line in lines if line.strip()]
