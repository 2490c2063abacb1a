"""Puts the items of a warm-up or a routine into words.

An item is one exercise with what the plan says of it, such as its keys and minutes. Each becomes an
`OrderRow`, from which the warm-up's page, its printed cue sheet and the music stand (the
full-screen view) are made.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from html import unescape
from itertools import pairwise

from markupsafe import Markup, escape

from chorus_handbook.catalogue import N_, _, joined, listed
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.entries.rendered import Section
from chorus_handbook.entries.steps import is_heading
from chorus_handbook.entries.warm_up import RoutineItem, WarmUpFields, WarmUpItem
from chorus_handbook.pages import words
from chorus_handbook.pages.attendance import joins_by_item
from chorus_handbook.pages.page import exercise_path, link, shown_on
from chorus_handbook.pages.starts import starting_notes
from chorus_handbook.pitch import Pitch, named
from chorus_handbook.records import Exercise
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.voices import Rung
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.checks.seated import LOWER
from chorus_handbook.warmups.findings import RULES
from chorus_handbook.warmups.planning import planned_rungs, voices_there
from chorus_handbook.warmups.running_order import MINUTE, SECOND, PlannedItem, RunningOrder
from chorus_handbook.warmups.texts import WrittenPlan

STATUS_WORDS = {
    "new": N_("new"),
    "settling": N_("settling"),
    "known": N_("known"),
    "resting": N_("back after a rest"),
}
SUNG_WORDS = {"yes": N_("sung"), "cut": N_("cut short"), "skipped": N_("left out")}
#: How many steps of an item are shown where room is short; the exercise's own page has them all.
MOST_STEPS: int = RULES["sheet"]["steps"]
#: What is left out of a text is shown by this sign.
CUT = " …"
#: More words than any text of an exercise has: nothing is cut.
WHOLE = 10_000
#: A clause of fewer words is not understood alone, so that no text is cut after it (our choice).
_LEAST_WORDS = 3
#: The usual names of tonics. A key with another name, such as B sharp, is renamed for display.
USUAL = frozenset({*FACTS["pitch"]["letters"], "Db", "Eb", "Gb", "F#", "Ab", "Bb"})
#: An HTML tag; a time in parentheses at the beginning of a step; an item of an HTML list; an item
#: or a paragraph.
_TAG = re.compile(r"<[^>]*>")
_TIME = re.compile(r"^\s*\([^()]{1,40}\)\s*")
_LIST_ITEM = re.compile(r"<li>(.*?)</li>", re.DOTALL)
_POINT = re.compile(r"<(li|p)\b[^>]*>(.*?)</\1>", re.DOTALL)


@dataclass(frozen=True, slots=True)
class KeyRow:
    """One planned key: its tonic as files write it ("Eb4"), its name as pages write it, and
    the starting notes of the voices, in words and as MIDI numbers, lowest first."""

    tonic: str
    key: str
    starts: str
    notes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One item, in words. Texts that an item does not have are empty.

    number: its place, from 1.
    title, poetic: the exercise's plain name, and its title if that is another.
    clock: the time of day when it begins; empty for a routine.
    again: the time of day when it begins, but only if the warm-up goes on with it after a break (a
        later block begins with it).
    offset: when it begins, in minutes and seconds from the start ("4:30"); in a later block, the
        time of day. `length`: how long it takes, in words.
    keys: its planned keys in one phrase. `key_rows`: each of them.
    older: the key in which older singers begin, if the warm-up is for them: two semitones lower.
    leaving: which voices step out after which key.
    formation: how the singers stand. `moves`: the same, but empty if they stood like that before.
    status: how well the chorus knows it ("new").
    cautions: the names of its cautions, in the vocabulary's order. `short_cautions`: each of them
        in a few words.
    presence: which voices join in or are gone from this item on: "Bass from 19:40".
    tempo: how fast, counted in the note value of its beat: "quarter = 84"; empty without notes.
    say, steps: what to say, and how to run it, as HTML from the exercise's author. In a seated
        warm-up the first step is what to do when seated.
    listen, cure, seated: the first thing to listen for, the first thing that goes wrong with its
        cure, and what to do when seated, as plain text.
    """

    number: int
    item: RoutineItem
    planned: PlannedItem
    exercise: Exercise
    title: str
    poetic: str
    link: str
    clock: str
    again: str
    offset: str
    length: str
    keys: str
    short_keys: str
    key_rows: tuple[KeyRow, ...]
    older: str
    leaving: str
    moves: str
    formation: str
    status: str
    cautions: tuple[str, ...]
    short_cautions: tuple[str, ...]
    presence: str
    tempo: str
    say: Markup
    steps: tuple[Markup, ...]
    listen: str
    cure: str
    seated: str

    @property
    def by(self) -> str:
        """Who leads the item; empty if that is not said."""
        return (isinstance(self.item, WarmUpItem) and self.item.by) or ""

    @property
    def if_time(self) -> bool:
        """Whether it is sung only if there is time."""
        return isinstance(self.item, WarmUpItem) and self.item.if_time is not None

    @property
    def log(self) -> str:
        """What was logged: "sung, up to E♭4: Too high for the basses."; empty if nothing was."""
        item = self.item
        if not isinstance(item, WarmUpItem) or item.sung is None:
            return ""
        sung = _(SUNG_WORDS[item.sung])
        if item.top:
            sung = _("{sung}, up to {key}", sung=sung, key=words.note(item.top))
        return _("{sung}: {remark}", sung=sung, remark=item.remark) if item.remark else sung

    def whole_steps(self) -> list[str]:
        """All steps as plain text."""
        return [_plain(step) for step in self.steps]

    def short_steps(self, most: int) -> list[str]:
        """The first steps as plain text, each cut to about `most` words at the end of a clause.
        Where anything is left out, the text ends with CUT."""
        steps = self.whole_steps()
        shown = [in_short(step, most) for step in steps[:MOST_STEPS]]
        if len(steps) > len(shown) and not shown[-1].endswith(CUT):
            shown[-1] = _cut(shown[-1])
        return shown


def order_rows(
    text: WrittenPlan,
    order: RunningOrder,
    exercises: Mapping[str, Exercise],
    chorus: Chorus,
    vocabulary: Vocabulary,
    *,
    with_status: bool,
) -> list[OrderRow]:
    """One row for each item. `exercises` must hold all exercises of the items, keyed by slug. Rows
    have a `status` only if `with_status` is true; while the log has only a few days, nobody can
    tell what is new."""
    front = text.front
    begins = front.begins if isinstance(front, WarmUpFields) else None
    slots = clock.timetable(order.items)
    sitting = order.occasion == "seated"
    changes = joins_by_item(front, slots, chorus)
    blocks = 0
    rows = []
    for place, (item, planned, slot) in enumerate(
        zip(front.items, order.items, slots, strict=True)
    ):
        exercise = exercises[item.exercise]
        there = voices_there(text, chorus, slot.begins)
        rungs = [_sung_by(rung, there) for rung in planned_rungs(item, exercise)]
        key_rows = tuple(_key_row(rung, exercise, chorus) for rung in rungs)
        path = _as_sung(item.key_path or exercise.front.key_path, rungs)
        formation = vocabulary.formations.get(planned.formation)
        label = formation.label if formation else ""
        sections = exercise.entry.source.body.sections
        minutes, seconds = divmod(slot.begins // SECOND, 60)
        time = "" if begins is None else clock.time_of_day(begins, slot.begins)
        blocks += planned.at is not None
        steps = _steps(shown_on(text.page, _section(sections, "How to run it")))
        seated = _seated(_section(sections, "Make it fit"))
        cautions = cautions_for(exercise.front, vocabulary)
        rows.append(
            OrderRow(
                number=place + 1,
                item=item,
                planned=planned,
                exercise=exercise,
                title=exercise.front.plain or exercise.front.title,
                poetic=exercise.front.title if exercise.front.plain else "",
                link=link(text.page, exercise_path(item.exercise)),
                clock=time,
                again=time if planned.at is not None else "",
                offset=time if blocks else f"{minutes}:{seconds:02}",
                length=words.seconds(planned.length / SECOND),
                keys=words.keys(path, [rung.tonic for rung in rungs]) if rungs and path else "",
                short_keys=words.short_keys(path, _names(key_rows)) if key_rows and path else "",
                key_rows=key_rows,
                older=lower(rungs[0].tonic) if sitting and rungs else "",
                leaving=_leaving(rungs, chorus),
                moves=label if slot.forms else "",
                formation=label,
                status=_(STATUS_WORDS[planned.status]) if with_status else "",
                cautions=cautions,
                short_cautions=tuple(vocabulary.cautions[name].in_short for name in cautions),
                presence=joined(changes[place]),
                tempo=words.tempo_mark(exercise.facts) if exercise.facts and rungs else "",
                say=shown_on(text.page, _section(sections, "Say")),
                steps=(*([escape(seated)] if sitting and seated else []), *steps),
                listen=_first_point(_section(sections, "Listen for")),
                cure=_first_point(_section(sections, "What goes wrong")),
                seated="" if sitting else seated,
            )
        )
    return rows


def routine_minutes(order: RunningOrder) -> int:
    """The time of a routine in minutes, rounded up. It ends with its last item: unlike after a
    warm-up, nobody looks for seats and folders."""
    return -(-clock.timetable(order.items)[-1].ends // MINUTE)


def _as_sung(path: KeyPath | None, rungs: Sequence[Rung]) -> KeyPath | None:
    """The path with the step between the keys as they are sung. A plan may give the first and last
    key of an exercise that goes by whole tones without saying that it does."""
    steps = {abs(after.tonic.midi - rung.tonic.midi) for rung, after in pairwise(rungs)}
    return replace(path, stride=2) if path and steps == {2} else path


def _sung_by(rung: Rung, there: set[str]) -> Rung:
    """A copy of the key with only those of its voices that are in `there`; if none is, with all."""
    voices = {name: step for name, step in rung.voices.items() if name in there}
    return replace(rung, voices=voices) if voices else rung


def _key_row(rung: Rung, exercise: Exercise, chorus: Chorus) -> KeyRow:
    """The key of a rung in words, with the starting notes of all voices of the rung."""
    mode = exercise.facts.mode if exercise.facts else "major"
    notes = sorted({step.first.midi for step in rung.voices.values()})
    return KeyRow(
        str(rung.tonic), words.key(rung.tonic, mode), starting_notes(rung, chorus), tuple(notes)
    )


def lower(tonic: Pitch) -> str:
    """The key in which older singers begin, two semitones below `tonic`: "B♭" for C."""
    lower = tonic.moved(-1, -LOWER)
    return words.note(lower.letter if lower.letter in USUAL else named(lower.midi)[:-1])


def _names(rows: Sequence[KeyRow]) -> list[str]:
    """The names of the keys. Only the last has the name of the mode, as in "D down to B♭ minor"."""
    names = [row.key for row in rows]
    if len(names) < 2:
        return names
    return [words.note(rows[0].tonic[:-1]), *names[1:]]  # the first without its octave


def _leaving(rungs: Sequence[Rung], chorus: Chorus) -> str:
    """The last key of each voice that steps out: "Bass steps out after D4"."""
    parts: list[str] = []
    for name in rungs[0].voices if rungs else ():
        out = next((place for place, rung in enumerate(rungs) if name in rung.out), None)
        label = chorus.voices[name].label
        if out == 0:
            parts.append(_("without {voice}", voice=label))
        elif out is not None:
            key = words.note(rungs[out - 1].tonic)
            # Translators: Bass sings as far as the key of D4, and steps out then.
            parts.append(_("{voice} steps out after {key}", voice=label, key=key))
    return listed(parts)


def _section(sections: Sequence[Section], heading: str) -> Markup:
    """The HTML of the sections with this heading. It is given in English, but finds sections whose
    heading is written in the handbook's language too."""
    return Markup().join(s.html for s in sections if is_heading(s.heading, heading))


def _steps(html: Markup) -> Iterator[Markup]:
    """The items of an HTML list, without the time in parentheses that may begin each."""
    for found in _LIST_ITEM.findall(html):
        yield Markup(_TIME.sub("", re.sub(r"</?p>", "", found)))


def _plain(html: str) -> str:
    """HTML as plain text on one line."""
    return " ".join(unescape(_TAG.sub("", html)).split())


def _first_point(html: Markup) -> str:
    """The first list item or paragraph, whole: its second sentence may be the one that protects."""
    found = _POINT.search(html)
    return _plain(found[2]) if found else ""


def in_short(text: str, most: int) -> str:
    """The beginning of a text: as many whole clauses as have at most `most` words together, but at
    least one. If anything is left out, the result ends with CUT."""
    parts = text.split()
    if len(parts) <= most:
        return text
    ends = [n for n, part in enumerate(parts, 1) if n >= _LEAST_WORDS and part[-1] in ",;:.!?"]
    fitting = [n for n in ends if n <= most] or ends[:1]
    end = fitting[-1] if fitting else len(parts)
    return text if end == len(parts) else _cut(" ".join(parts[:end]))


def _cut(text: str) -> str:
    """The text followed by CUT, the sign that something is left out."""
    return text.rstrip(",;:.") + CUT


def _seated(html: Markup) -> str:
    """The text of the first list item that says what to do when seated; empty if there is none."""
    found = (_plain(item) for item in _LIST_ITEM.findall(html))
    return next((text for text in found if text.startswith("Seated:")), "")
