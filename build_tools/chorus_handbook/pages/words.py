"""Puts measured facts into words for pages: keys, tempo, ranges, who sings, how long it lasts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from chorus_handbook.catalogue import N_, _, decimal, inside, joined, listed, ngettext
from chorus_handbook.chorus.model import IMPACT_WORDS, Chorus
from chorus_handbook.engraving.describe import key_name
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.round import entries_of
from chorus_handbook.music.score import LEADER, Meter
from chorus_handbook.pages.learning_words import times, to_learn, when
from chorus_handbook.pages.number_words import number, span
from chorus_handbook.pitch import Pitch, interval_name

STEP_OUT_WORDS = {
    "allowed": N_("A voice may stop where it gets too high or too low, and listen to the others."),
    "octave": N_("A voice may change octave where it gets too high or too low."),
}
#: Intervals with a spelling other than the usual one.
_BY_SPELLING = {
    "A1": N_("a semitone"),
    "d3": N_("a diminished third"),
    "A2": N_("an augmented second"),
    "d4": N_("a diminished fourth"),
    "A3": N_("an augmented third"),
    "d5": N_("a diminished fifth"),
}
#: Texts for a series of keys: by whether it goes up, comes back, and goes by whole tones.
_WAYS = {
    (True, False, False): N_("{first} up to {last}"),
    (True, False, True): N_("{first} up to {last} by whole tones"),
    (True, True, False): N_("{first} up to {last} and back"),
    (True, True, True): N_("{first} up to {last} and back by whole tones"),
    (False, False, False): N_("{first} down to {last}"),
    (False, False, True): N_("{first} down to {last} by whole tones"),
    (False, True, False): N_("{first} down to {last} and back"),
    (False, True, True): N_("{first} down to {last} and back by whole tones"),
}

#: The note values of beats, by their length in quarters.
_BEAT_VALUES: Mapping[Fraction | None, str] = {
    Fraction(2): N_("half"),
    Fraction(1): N_("quarter"),
    Fraction(1, 2): N_("eighth"),
    Fraction(3, 2): N_("dotted quarter"),
}


def note(pitch: Pitch | str) -> str:
    """A note name with musical signs: "B♭3" for "Bb3"."""
    text = str(pitch)
    return text[:1] + text[1:].replace("#", "♯").replace("b", "♭")


def key(tonic: Pitch, mode: str) -> str:
    """A key as singers say it: "C", "D minor", "F♯ Dorian"."""
    return key_names(mode).replace("{tonic}", note(tonic.letter))


def key_names(mode: str) -> str:
    """How singers say the keys of a mode, with "{tonic}" for the tonic: "{tonic}" in major,
    "{tonic} minor"."""
    return "{tonic}" if mode == "major" else key_name("{tonic}", mode)


def seconds(value: float) -> str:
    """A length in seconds in words, rounded to seconds: "45 s", "2 min 5 s"."""
    total = round(value)
    whole, rest = divmod(total, 60)
    if not whole:
        return _("{seconds} s", seconds=total)
    if not rest:
        return _("{minutes} min", minutes=whole)
    return _("{minutes} min {seconds} s", minutes=whole, seconds=rest)


def voiced(lengths: Mapping[str, float]) -> str:
    """How long each voice sings in all its keys together: "Each voice sings for about 50 s in all."
    `lengths` maps the label of each voice to its seconds, which are rounded to five. Empty without
    voices."""
    groups: dict[int, list[str]] = {}
    for label, length in lengths.items():
        groups.setdefault(max(5, 5 * round(length / 5)), []).append(label)
    if len(groups) > 1:
        # Translators: Soprano and Alto 30 s
        each = [
            _("{voices} {time}", voices=listed(labels), time=seconds(n))
            for n, labels in groups.items()
        ]
        return _("Singing time in all keys, roughly: {times}.", times=joined(each))
    for n, labels in groups.items():
        if len(labels) > 1:
            return _("Each voice sings for about {time} in all.", time=seconds(n))
        return _("{voice} sings for about {time} in all.", voice=labels[0], time=seconds(n))
    return ""


def impact(value: int) -> str:
    """The impact as every page shows it: "Impact 2 gentle"."""
    return _("Impact {number} {word}", number=value, word=_(IMPACT_WORDS[value]))


def impact_in_table(value: int) -> str:
    """The impact below its heading: "2 gentle"."""
    # Translators: an impact, such as "2 gentle", below the heading "Impact".
    return _("{number} {word}", number=value, word=_(IMPACT_WORDS[value]))


def first_key(facts: Facts | None) -> str:
    """The first key, such as "C" or "D minor"; empty when no note is sung."""
    if facts is None or not any(voice.first for voice in facts.voices):
        return ""
    return key(facts.keys[0], facts.mode)


def interval(steps: int, semitones: int) -> str:
    """An interval of less than an octave in words, named as it is spelled: "a diminished fifth" for
    4 steps and 6 semitones. An augmented unison (A to A flat) is called a semitone, which is how
    singers find it. A spelling without a usual name is called by its semitones."""
    name = interval_name(steps, semitones)
    return _(_BY_SPELLING[name]) if name in _BY_SPELLING else span(semitones)


def who_sings(facts: Facts | None, chorus: Chorus) -> str:
    """Who sings: "all voices in unison", "four parts", "soprano and alto in two parts"."""
    if facts is None:
        return _("everyone")
    sounding = [voice for voice in facts.voices if not voice.silent]
    voices = [voice for voice in sounding if voice.voice != LEADER]
    if not voices:
        return _("the leader alone")
    everyone = len(voices) == len(chorus.voices)
    lines = len({voice.line for voice in voices})
    names = listed(inside(chorus.voices[voice.voice].label) for voice in voices)
    names = _("all voices") if everyone else names
    if lines > 1 and everyone:
        text = ngettext("{number} part", "{number} parts", lines, number=number(lines))
    elif lines > 1:
        text = ngettext(
            "{voices} in {number} part",
            "{voices} in {number} parts",
            lines,
            voices=names,
            number=number(lines),
        )
    elif len(voices) == 1:
        text = names
    elif any(voice.notes for voice in voices):
        text = _("{voices} in unison", voices=names)
    else:  # they speak
        text = _("{voices} together", voices=names)
    return _("leader, then {voices}", voices=text) if len(sounding) > len(voices) else text


def keys(path: KeyPath, tonics: Sequence[Pitch]) -> str:
    """The series of keys: "C4 up to G4, 8 keys". `tonics` are spelled as in the score."""
    names = [note(tonic) for tonic in tonics]
    if len(names) == 1:
        return names[0]
    way = way_through(path, names)
    # Translators: {way} is such as "C4 up to G4".
    return ngettext("{way}, {n} key", "{way}, {n} keys", len(tonics), way=way)


def short_keys(path: KeyPath, names: Sequence[str]) -> str:
    """The series of keys for narrow columns: "C–G"; a series that goes down or comes back is
    written in full: "E♭ down to B♭"."""
    if len(names) == 1:
        return names[0]
    if path.back or path.turn.midi < path.start.midi:
        return way_through(path, names)
    keys = f"{names[0]}\u2013{names[-1]}"
    # Translators: {keys} is such as "C–E".
    return keys if path.stride == 1 else _("{keys} by whole tones", keys=keys)


def way_through(path: KeyPath, names: Sequence[str]) -> str:
    """The first and last of these keys and the direction: "C4 up to G4"."""
    turn = names[len(path.semitones()) // 2] if path.back else names[-1]
    up = path.turn.midi > path.start.midi
    return _(_WAYS[up, path.back, path.stride == 2], first=names[0], last=turn)


def beats_a_minute(tempo: float) -> str:
    """A tempo: "92 beats a minute"."""
    many = round(tempo) if tempo != 1 else 1
    return ngettext("{n} beat a minute", "{n} beats a minute", many, n=decimal(tempo))


def tempo_mark(facts: Facts) -> str:
    """A tempo with the note value of its beat, as printed music has it: "quarter = 84",
    "dotted quarter = 66"; "92 beats a minute" in free meter or for an unusual beat."""
    beats, _slash, unit = facts.meter.partition("/")
    value = Meter(int(beats), int(unit)).beat if unit else None
    if value not in _BEAT_VALUES:
        return beats_a_minute(facts.tempo)
    # Translators: {value} is a note value, such as "quarter".
    return _("{value} = {n}", value=_(_BEAT_VALUES[value]), n=decimal(facts.tempo))


def pace(facts: Facts, passes: int) -> str:
    """How fast, how often and how long: "92 beats a minute, three times in each key; it
    lasts 47 s"."""
    beats, length = beats_a_minute(facts.tempo), seconds(facts.length_seconds)
    if passes == 1:
        # Translators: {beats} is such as "92 beats a minute".
        return _("{beats}; it lasts {length}", beats=beats, length=length)
    several = len(facts.keys) > 1
    if passes == 2:
        if several:
            return _("{beats}, twice in each key; it lasts {length}", beats=beats, length=length)
        return _("{beats}, twice; it lasts {length}", beats=beats, length=length)
    values = {"beats": beats, "length": length, "number": number(passes)}
    if several:
        return ngettext(
            "{beats}, {number} time in each key; it lasts {length}",
            "{beats}, {number} times in each key; it lasts {length}",
            passes,
            **values,
        )
    return ngettext(
        "{beats}, {number} time; it lasts {length}",
        "{beats}, {number} times; it lasts {length}",
        passes,
        **values,
    )


def times_over(passes: int) -> str:
    """How often: "once", "twice", "three times"."""
    if passes <= 2:
        return _("once") if passes == 1 else _("twice")
    return ngettext("{number} time", "{number} times", passes, number=number(passes))


def facts_line(front: FrontMatter, facts: Facts | None, chorus: Chorus) -> str:
    """The line of facts under the title: "Impact 2 gentle · To learn: at once · a fifth · all
    voices in unison · 3 minutes, 1½ once known · When: early"."""
    parts = [impact(front.impact), to_learn(front, facts)]
    if facts and any(voice.lowest for voice in facts.voices):
        parts.append(span(facts.ambitus_semitones))
    parts.append(who_sings(facts, chorus))
    parts.append(times(front, facts))
    parts.append(when(front))
    return "\u00a0· ".join(filter(None, parts))  # a line never begins with the dot


def sung_on(phrases: Sequence[str], most: int = 12) -> str:
    """What is sung in the first `most` phrases, with slashes between them, for readers who know an
    exercise by its words."""
    return " / ".join(phrases[:most]) + (" …" if len(phrases) > most else "")


def round_words(front: FrontMatter, chorus: Chorus) -> str:
    """How a round is sung: "A round: 1 Alto, 2 Soprano, each 2 bars after the one before. Each
    sings the line twice and stops."; empty for other exercises."""
    if front.round is None:
        return ""
    entries = joined(
        # Translators: {number} counts the entries of a round, {voices} is such as "Alto and Bass".
        _("{number} {voices}", number=str(place), voices=listed(map(chorus.label_of, voices)))
        for place, voices in enumerate(entries_of(front.round, chorus), 1)
    )
    count, unit = front.round.distance
    if unit == "bar":
        # Translators: {entries} is such as "1 Alto, 2 Soprano".
        who = ngettext(
            "A round: {entries}, each {n} bar after the one before.",
            "A round: {entries}, each {n} bars after the one before.",
            count,
            entries=entries,
        )
    else:
        who = ngettext(
            "A round: {entries}, each {n} beat after the one before.",
            "A round: {entries}, each {n} beats after the one before.",
            count,
            entries=entries,
        )
    return f"{who} {_how_often(front.round.times, front.round.end)}"


def _how_often(times: int, end: str) -> str:
    if end == "each":
        if times == 1:
            return _("Each sings the line once and stops.")
        if times == 2:
            return _("Each sings the line twice and stops.")
        return ngettext(
            "Each sings the line {number} time and stops.",
            "Each sings the line {number} times and stops.",
            times,
            number=number(times),
        )
    if times == 1:
        return _("All stop when the first has sung the line once.")
    if times == 2:
        return _("All stop when the first has sung the line twice.")
    return ngettext(
        "All stop when the first has sung the line {number} time.",
        "All stop when the first has sung the line {number} times.",
        times,
        number=number(times),
    )
