"""Lists, as text for `handbook check --gaps`, which exercises a handbook lacks: a table of how many
serve each goal, by impact and level, and the exercises that were never sung."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import fill

from chorus_handbook.chorus.model import IMPACT_WORDS, LEVEL_WORDS
from chorus_handbook.pipeline import Handbook
from chorus_handbook.views.gaps import Gaps, GoalGaps, find_gaps
from chorus_handbook.voices.ladder_data import table
from chorus_handbook.warmups.rotation import log_of
from chorus_handbook.warmups.texts import warm_ups_in

#: Words for how many exercises a goal has of an impact or a level. More than one is no gap.
_COUNTS = ((0, "no exercise of"), (1, "only one of"))
#: The width of lines of names, in characters.
_WIDTH = 80


def gaps_as_text(book: Handbook) -> str:
    """As text: a table that counts the exercises of each goal by impact and by level; a line for
    each goal that has no exercise, or only one, of some impact or level; and the exercises that
    were never sung."""
    vocabulary = book.config.vocabulary
    if vocabulary is None or not book.views.rows:
        return "No gaps can be listed, because there are no exercises without errors."
    log = log_of(warm_ups_in(book.texts))
    gaps = find_gaps(book.views.rows, vocabulary.goals, log.sung.keys() if log.days else None)
    return "\n".join(_lines(gaps))


def _lines(gaps: Gaps) -> Iterator[str]:
    exercises = "exercise" if gaps.count == 1 else "exercises"
    yield f"How many exercises serve each goal, of {gaps.count} {exercises} (- means none):"
    head = ["goal", *(f"impact {n}" for n in IMPACT_WORDS), *(f"level {n}" for n in LEVEL_WORDS)]
    rows = [
        [one.goal, *(str(n) if n else "-" for n in (*one.impacts, *one.levels)), str(one.count)]
        for one in gaps.goals
    ]
    yield table([[*head, "all"], *rows])
    if fewest := gaps.fewest():
        yield f"Fewest exercises: {', '.join(f'{one.goal} {one.count}' for one in fewest)}"
    for count, words in ((0, "Goals without any exercise"), (1, "Goals with only one exercise")):
        if goals := gaps.goals_having(count):
            yield f"{words}: {', '.join(goals)}"
    for one in gaps.goals:
        found = [f"{words} {what}" for count, words in _COUNTS if (what := _having(one, count))]
        if found and one.count > 1:
            yield f"{one.goal}: {'; '.join(found)}"
    if gaps.never_sung is None:
        yield 'It is not known which exercises were sung: no warm-up has an item with "sung: yes".'
    elif gaps.never_sung:
        yield f"Never sung ({len(gaps.never_sung)}):"
        yield fill(
            ", ".join(gaps.never_sung),
            _WIDTH,
            initial_indent="  ",
            subsequent_indent="  ",
            break_on_hyphens=False,
            break_long_words=False,
        )
    else:
        yield "Every exercise has been sung at least once."


def _having(goal: GoalGaps, count: int) -> str:
    """The impacts and levels of which a goal has this number of exercises, in words."""
    named = zip(("impact", "level"), goal.having(count), strict=True)
    return ", ".join(f"{name} {' '.join(map(str, found))}" for name, found in named if found)
