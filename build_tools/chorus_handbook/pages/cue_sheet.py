"""Makes the cue sheet: a warm-up on one sheet of paper, for whoever leads it at short notice. It is
part of the warm-up's page, and visible only in print.

The height of a row is estimated from the number of characters that fit a line. Each row shows as
many words as the sheet has room for."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from textwrap import shorten, wrap
from typing import Any

from markupsafe import Markup

from chorus_handbook.catalogue import _, inside, joined, listed
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.engraving.engraved import sprite
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.pages import words
from chorus_handbook.pages.attendance import presence
from chorus_handbook.pages.dates import long_date
from chorus_handbook.pages.html import render
from chorus_handbook.pages.order_rows import CUT, WHOLE, OrderRow, in_short, routine_minutes
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Thumbnail
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.findings import RULES
from chorus_handbook.warmups.running_order import MINUTE, RunningOrder
from chorus_handbook.warmups.texts import WrittenPlan

#: `browser/warm_up_rules.js` explains each; `browser/draft_sheet.js` fits a draft's sheet alike.
_SHEET: Mapping[str, Any] = RULES["sheet"]
MOST_STAVES: int = _SHEET["staves"]
_LENGTHS: list[tuple[int, int]] = [(say, step) for say, step in _SHEET["lengths"]]
#: In millimetres.
_MILLIMETRES = ("height", "line", "title_line", "staff", "row", "frame")
_HEIGHT, _LINE, _TITLE_LINE, _STAFF, _ROW, _FRAME = (float(_SHEET[name]) for name in _MILLIMETRES)
#: How many characters fit a line of the sheet, of a title, and of the two columns.
_WIDE, _TITLE, _LEFT, _RIGHT = (int(_SHEET[name]) for name in ("wide", "title", "left", "right"))
#: A line of notation that has no notes, such as "meter: 3/4".
_HEADER = re.compile(r"^(meter|pickup|mode|octave|words)\s*:")


@dataclass(frozen=True, slots=True)
class _SheetRow:
    """What a row of the sheet shows. `stave` names the late slot for its staff; `numbers` are
    scale numbers in place of a staff. `as_item` is the number of an earlier item with the same
    exercise, or 0."""

    row: OrderRow
    stave: str
    numbers: str
    as_item: int

    @property
    def care(self) -> str:
        """The cautions of the exercise, each in a few words."""
        return " ".join(self.row.short_cautions)

    def say(self, most: int) -> str:
        """What to say, as plain text, cut to about `most` words; for an exercise that has been on
        the sheet before, only "As item 2." """
        if self.as_item:
            return _("As item {n}.", n=self.as_item)
        return in_short(" ".join(self.row.say.striptags().split()), most)

    @property
    def voices(self) -> str:
        """The key for older singers, which voices stop after which key, and the starting notes if
        voices begin on different ones."""
        row = self.row
        starts = row.key_rows[0].starts if row.key_rows and _differ(row) else ""
        older = _("older singers: {key}", key=row.older) if row.older else ""
        return " · ".join(filter(None, (older, row.leaving, starts)))

    @property
    def cue(self) -> str:
        """The phrase "cue word: ..." for the front matter's `cue`; empty without one."""
        cue = self.row.exercise.front.cue
        return _("cue word: {cue}", cue=cue) if cue else ""

    @property
    def also(self) -> str:
        """The tempo, the first syllables, who leads the item, and what the author of the warm-up
        notes."""
        row = self.row
        by = _("by {name}", name=row.by) if row.by else ""
        return " · ".join(
            filter(None, (*self.about_exercise, by, row.item.variation, row.item.note))
        )

    @property
    def about_exercise(self) -> list[str]:
        """The tempo and the first syllables."""
        row = self.row
        phrases = row.exercise.facts.phrases if row.exercise.facts and not self.as_item else ()
        sung_on = shorten(" / ".join(phrases), _LEFT, placeholder=CUT)
        # Translators: the syllables or words that an exercise is sung on, such as "noo".
        on = _("on “{words}”", words=sung_on) if sung_on else ""
        return [text for text in (row.tempo, on) if text]

    def steps(self, most: int) -> list[str]:
        """The steps as plain text, each cut to about `most` words; none if `most` is 0, or for an
        exercise that has been on the sheet before."""
        if self.as_item or most == 0:
            return []
        return self.row.whole_steps() if most == WHOLE else self.row.short_steps(most)

    def height(self, length: tuple[int, int]) -> float:
        """The estimated height of the row in millimetres with texts of this length (one of
        `_LENGTHS`)."""
        title = f"{self.row.number} {self.row.title} {self.row.short_keys}"
        left = _TITLE_LINE * _lines([title], _TITLE)
        left += _LINE * _lines([self.row.presence, self.voices, self.numbers], _LEFT)
        say, steps = self.say(length[0]), self.steps(length[1])
        begins = " ".join(filter(None, (self.row.moves, self.care, say)))
        run = [f"{n} {step}" for n, step in enumerate(steps, 1)]
        ends = " · ".join(filter(None, (self.cue, self.also)))
        right = _LINE * _lines([begins, " ".join([*run, ends])], _RIGHT)
        return max(left + (_STAFF if self.stave else 0), right) + _ROW


def _lines(texts: Iterable[str], characters: int) -> int:
    """How many lines the texts take if `characters` characters fit a line."""
    return sum(len(wrap(text.strip(), characters, break_on_hyphens=False)) for text in texts)


def _lengths_that_fit(rows: Sequence[_SheetRow], room: float) -> list[tuple[int, int]]:
    """For each row, the length of its texts (one of `_LENGTHS`), so that all rows together fit into
    `room` millimetres.

    All rows begin with the shortest texts. Then, for each longer length in turn, the rows are
    visited, those first that would grow least. A row gets the longer texts if there is room, or if
    it does not grow because its staff makes it as high anyway."""
    chosen = [_LENGTHS[0]] * len(rows)
    heights = [row.height(_LENGTHS[0]) for row in rows]
    for length in _LENGTHS[1:]:
        longer = [row.height(length) for row in rows]
        growth = [after - before for before, after in zip(heights, longer, strict=True)]
        for place in sorted(range(len(rows)), key=growth.__getitem__):
            if growth[place] <= 0 or sum(heights) + growth[place] <= room:
                chosen[place], heights[place] = length, longer[place]
    return chosen


def cue_sheet(
    text: WrittenPlan,
    order: RunningOrder,
    rows: Sequence[OrderRow],
    joins: int,
    late: str,
    chorus: Chorus,
    vocabulary: Vocabulary,
) -> Markup:
    """The HTML of the cue sheet, with an empty place for each staff, which `staves` fills. `joins`
    is the number of the item after which late singers join in, or 0; `late` says what to leave out
    after a late start, and is empty for a routine."""
    front = text.front
    head: list[str] = []
    if isinstance(front, WarmUpFields):
        head = [
            _(
                "{date}, {begins} to {ends}",
                date=long_date(front.day),
                begins=front.starts,
                ends=clock.time_of_day(front.begins, round(front.minutes * MINUTE)),
            ),
            _("led by {name}", name=front.leader) if front.leader else "",
            _("at the piano: {name}", name=front.pianist) if front.pianist else "",
            front.room or "",
            *presence(front, chorus),
            leads_into(front, vocabulary),
        ]
    else:
        head = [_("{n} min in all", n=routine_minutes(order))]
    foot = _foot(late, joins)
    frame = _FRAME + _LINE * _lines([" · ".join(filter(None, head)), " ".join(foot)], _WIDE)
    shown = [_sheet_row(row, rows, staves=len(rows) <= MOST_STAVES) for row in rows]
    if sum(row.height(_LENGTHS[0]) for row in shown) + frame > _HEIGHT:
        shown = [_sheet_row(row, rows, staves=False) for row in rows]
    lengths = _lengths_that_fit(shown, _HEIGHT - frame)
    if all(length == _LENGTHS[-1] for length in lengths):  # nothing is cut
        foot.pop()
    return render(
        "cue_sheet.html",
        title=text.title,
        head=[line for line in head if line],
        rows=[
            (row, row.say(say), row.steps(steps))
            for row, (say, steps) in zip(shown, lengths, strict=True)
        ],
        foot=foot,
    )


def _sheet_row(row: OrderRow, rows: Sequence[OrderRow], *, staves: bool) -> _SheetRow:
    """The sheet's row for one of the `rows`, with a staff or with scale numbers instead. An item
    whose exercise has been on the sheet before gets neither."""
    first = next(one.number for one in rows if one.item.exercise == row.item.exercise)
    if first < row.number:
        return _SheetRow(row, "", "", first)
    stave = late_name(row) if staves and row.exercise.drawings else ""
    numbers = "" if staves else shorten(scale_numbers(row), _LEFT, placeholder=CUT)
    return _SheetRow(row, stave, numbers, 0)


def cue_sheet_parts(row: OrderRow) -> tuple[dict[str, Any], dict[str, Any]]:
    """What the browser needs to make an item's row of the cue sheet. Returns the texts (what to say
    and the steps, both uncut, the tempo and the first syllables), and the values of the row's
    template that are the same in every plan. These values have scale numbers, which the browser
    replaces by a staff."""
    one = _sheet_row(row, [row], staves=False)
    texts = {
        "say": one.say(WHOLE),
        "steps": row.whole_steps(),
        "also": one.about_exercise,
        "tempo": row.tempo,
    }
    return texts, {"row": row, "care": one.care, "cue": one.cue, "numbers": one.numbers}


def _foot(late: str, joins: int) -> list[str]:
    """The sentences below the table: `late` (what to leave out), where latecomers join in, and
    those of `always_below`."""
    join_in = _("Those who are late come in after item {n}.", n=joins) if joins else ""
    return [sentence for sentence in (late, join_in, *always_below()) if sentence]


def always_below() -> list[str]:
    """The sentences below the table of every cue sheet. The last applies only if a step is cut."""
    return [
        _(
            "Without a piano: first key from fork A; then sing the last key’s tonic (1) and go on "
            "from it by the keys beside the name. Stop if it hurts or strains."
        ),
        _("What is cut here (…) is on the exercise’s page."),
    ]


def leads_into(front: WarmUpFields, vocabulary: Vocabulary) -> str:
    """The piece that follows the warm-up, with its first chord, and the goals that it asks for;
    empty if none of them is named."""
    leads = front.leads_into
    if leads is None:
        return ""
    chord = joined(words.note(note) for note in reversed(leads.first_chord.values()))
    goals = [vocabulary.goals[goal].label for goal in leads.goals if goal in vocabulary.goals]
    asks = _("asks for {goals}", goals=listed(map(inside, goals))) if goals else ""
    if leads.piece and chord:
        follows = _("Leads into {piece}: {notes}", piece=leads.piece, notes=chord)
    elif leads.piece:
        follows = _("Leads into {piece}", piece=leads.piece)
    elif chord:
        follows = _("Ends on the chord {notes}", notes=chord)
    else:
        return _("What follows {asks}", asks=asks) if asks else ""
    # Translators: {follows} is such as "Leads into Two carols", {asks} "asks for blend".
    return _("{follows}; {asks}", follows=follows, asks=asks) if asks else follows


def staves(
    rows: Sequence[OrderRow], opening: Callable[[Exercise, str], Thumbnail | None]
) -> dict[str, Markup]:
    """The drawing of the first bars of each item in its first planned key, by `late_name`, and the
    sprite (the SVG symbols) that the drawings refer to. `opening` draws an exercise in the key of
    a tonic, or in its first key if that is empty."""
    late: dict[str, Markup] = {}
    symbols: dict[str, str] = {}
    for row in rows if len(rows) <= MOST_STAVES else ():
        first = row.key_rows[0].tonic if row.key_rows else ""
        if drawn := _opening(row, first, opening):
            late[late_name(row)] = Markup(drawn.svg)
            symbols |= drawn.symbols
    late["sprite"] = Markup(sprite(dict(sorted(symbols.items()))))
    return late


def staves_in_keys(
    row: OrderRow, opening: Callable[[Exercise, str], Thumbnail | None]
) -> dict[str, Any]:
    """The drawings of an item's first bars for the browser, which puts them into a draft: `staves`
    maps the tonic of each planned key to the drawing in that key, or "" to the only drawing if the
    item has no keys; `symbols` has the glyphs that the drawings refer to."""
    found: dict[str, str] = {}
    symbols: dict[str, str] = {}
    for tonic in dict.fromkeys([key.tonic for key in row.key_rows] or [""]):
        if drawn := _opening(row, tonic, opening):
            found[tonic] = drawn.svg
            symbols |= drawn.symbols
    return {"staves": found, "symbols": dict(sorted(symbols.items()))}


def _opening(
    row: OrderRow, tonic: str, opening: Callable[[Exercise, str], Thumbnail | None]
) -> Thumbnail | None:
    return opening(row.exercise, tonic) if row.exercise.drawings else None


def late_name(row: OrderRow) -> str:
    """The name of the late slot for the staff of an item."""
    return f"stave-{row.number}"


def scale_numbers(row: OrderRow) -> str:
    """The first line of notes in scale numbers, as its author wrote it but without the name of the
    voice; empty if the exercise is not written in scale numbers."""
    notation = row.exercise.entry.source.notation
    if notation is None or notation.kind != "degrees":
        return ""
    lines = (line.strip() for line in notation.text.splitlines())
    first = next((line for line in lines if line and not _HEADER.match(line)), "")
    return first.partition(":")[2].strip()


def _differ(row: OrderRow) -> bool:
    """Whether voices begin on different notes; the same note in another octave is not different."""
    return len({note % 12 for note in row.key_rows[0].notes}) > 1
