"""Says how a season goes, for whoever plans the next warm-up: what was sung in the last weeks, by
families of goals; how much each voice sang; which exercises were given up before they were known;
and since when nothing has been new. It never says that something is missing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from markupsafe import Markup

from chorus_handbook.catalogue import _, listed
from chorus_handbook.chorus.model import FAMILY_WORDS, Vocabulary
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.pages.dates import short_date, time_element
from chorus_handbook.pages.html import render
from chorus_handbook.pages.kinds import Shown
from chorus_handbook.pages.page import DRAFT, exercise_path, link
from chorus_handbook.pages.sung import dates
from chorus_handbook.pages.voice_load import month_table
from chorus_handbook.records import Exercise
from chorus_handbook.warmups.history import History, history_of
from chorus_handbook.warmups.load import month_load
from chorus_handbook.warmups.rotation import (
    KNOWN_WITHIN,
    OFTEN,
    RESTING,
    WEEK,
    WINDOW,
    Log,
    log_of,
)
from chorus_handbook.warmups.season import (
    families_sung,
    last_day,
    left_out_early,
    nothing_new_since,
)
from chorus_handbook.warmups.texts import warm_ups_in


def learning(
    front: object, history: History, exercises: Mapping[str, Exercise]
) -> list[Markup | str]:
    """Sentences for the page of a warm-up: which exercises it drops although they were sung fewer
    than three times, and since when nothing has been new, if that is long ago."""
    if not isinstance(front, WarmUpFields):
        return []
    sentences: list[Markup | str] = []
    dropped = [
        exercises[slug].front.plain or exercises[slug].front.title
        for slug in left_out_early(front, history)
        if slug in exercises
    ]
    if dropped:
        sentences.append(
            _(
                "Sung fewer than three times so far, and left out this time: {items}.",
                items=listed(dropped),
            )
        )
    newest = nothing_new_since(front, history)
    if newest:
        when = time_element(newest, short_date(newest))
        sentences.append(_("Nothing has been new since {date}.", date=when))
    return sentences


def season(texts: Sequence[Text[Any]], shown: Shown) -> Markup:
    """The folded section, for whoever plans, of the page that lists all warm-ups (`texts`); empty
    while nothing has been sung.

    Its figures are for the weeks that end with the last day that was logged, not counting days
    still to come (a log for one is a mistake). The browser replaces them by the figures for the
    weeks that end today, if anything was sung in these.
    """
    warm_ups = warm_ups_in(texts)
    log = log_of(warm_ups)
    vocabulary = shown.config.vocabulary
    chorus = shown.config.chorus
    end = last_day(log, date.today().toordinal())
    if end is None or vocabulary is None or chorus is None:
        return Markup()
    last = date.fromordinal(end)
    newest = warm_ups[-1]
    return render(
        "season.html",
        draft=link(WARM_UP.page("index"), DRAFT),
        weeks=WINDOW // WEEK,
        until=time_element(last, short_date(last)),
        voice_load=month_table(
            month_load(warm_ups, shown.exercises, chorus, vocabulary, end), chorus
        ),
        families=_families(log, shown.exercises, vocabulary, end),
        newest=newest.title,
        learning=learning(newest.front, history_of(newest, warm_ups), shown.exercises),
        often=OFTEN,
        known_weeks=KNOWN_WITHIN // WEEK,
        resting_weeks=RESTING // WEEK,
    )


def _families(
    log: Log, exercises: Mapping[str, Exercise], vocabulary: Vocabulary, end: int
) -> list[dict[str, Any]]:
    """For each family of goals, the values for the template: what was sung of it in the four weeks
    that end with the day `end`, and how often. An empty list if no goal of the vocabulary has a
    family."""
    known = {name: goal.family for name, goal in vocabulary.goals.items() if goal.family}
    if not known:
        return []
    of_exercise = {
        slug: {known[goal] for goal in exercise.front.goals if goal in known}
        for slug, exercise in exercises.items()
    }
    path = WARM_UP.page("index")
    return [
        {
            "label": _(FAMILY_WORDS[family]),
            "times": sum(map(len, sung.values())),
            "exercises": [
                {
                    "title": exercises[slug].front.plain or exercises[slug].front.title,
                    "poetic": exercises[slug].front.title if exercises[slug].front.plain else "",
                    "link": link(path, exercise_path(slug)),
                    "days": dates(days),
                    "times": len(days),
                }
                for slug, days in sung.items()
            ],
        }
        for family, sung in families_sung(log, of_exercise, end).items()
    ]
