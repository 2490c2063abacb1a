"""How the pages put facts: in words before signs, as a colleague would say them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from chorus_handbook.chorus.model import IMPACT_WORDS, Chorus, Vocabulary
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import LEADER
from chorus_handbook.pages.learning_words import times, to_learn, when
from chorus_handbook.pitch import Pitch, customary_interval, interval_words

_NUMBERS = "no one two three four five six seven eight nine ten eleven twelve".split()
STEP_OUT_WORDS = {
    "no": "",
    "allowed": "A voice may stop where it gets too high or too low, and listen to the others.",
    "octave": "A voice may change octave where it gets too high or too low.",
}


def number(count: int) -> str:
    """A small count in words."""
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def plural(count: int, noun: str) -> str:
    """A counted noun: "1 key", "8 keys"."""
    return f"{count} {noun}" + ("" if count == 1 else "s")


def listed(items: Iterable[str]) -> str:
    """An enumeration: "a", "a and b", "a, b and c"."""
    words = list(items)
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + " and " + words[-1]


def note(pitch: Pitch | str) -> str:
    """A note name with proper signs: "B♭3"."""
    text = str(pitch)
    return text[:1] + text[1:].replace("#", "♯").replace("b", "♭")


def key(tonic: Pitch, mode: str) -> str:
    """A key as singers say it: "C", "D minor", "F♯ dorian"."""
    return note(tonic.letter) + ("" if mode == "major" else f" {mode}")


def seconds(value: float) -> str:
    """A length to the second: "45 s", "2 min 5 s"."""
    total = round(value)
    if total < 60:
        return f"{total} s"
    whole, rest = divmod(total, 60)
    return f"{whole} min" + (f" {rest} s" if rest else "")


def voiced(lengths: Mapping[str, float]) -> str:
    """For how long voices sing in all keys that they sing, in seconds by label, to five seconds:
    "Each voice sings for about 50 s in all." Empty without voices."""
    groups: dict[int, list[str]] = {}
    for label, length in lengths.items():
        groups.setdefault(max(5, 5 * round(length / 5)), []).append(label)
    if len(groups) > 1:
        told = ", ".join(f"{listed(labels)} {seconds(n)}" for n, labels in groups.items())
        return f"Singing time in all keys, roughly: {told}."
    return "".join(
        f"{'Each voice' if len(labels) > 1 else labels[0]} sings for about {seconds(n)} in all."
        for n, labels in groups.items()
    )


def impact(value: int) -> str:
    """The impact as every page shows it: "2 gentle"."""
    return f"{value} {IMPACT_WORDS[value]}"


def span(semitones: int) -> str:
    """A range in words: "a fifth", "an octave", "one note"."""
    if semitones == 0:
        return "one note"
    words = interval_words(customary_interval(semitones))
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def who_sings(facts: Facts | None, chorus: Chorus) -> str:
    """Who sings: "all voices in unison", "four parts", "soprano and alto in two parts"."""
    if facts is None:
        return "everyone"
    sounding = [voice for voice in facts.voices if not voice.silent]
    voices = [voice for voice in sounding if voice.voice != LEADER]
    if not voices:
        return "the leader alone"
    everyone = len(voices) == len(chorus.voices)
    lines = len({voice.line for voice in voices})
    labels = (chorus.voices[voice.voice].label.lower() for voice in voices)
    names = "all voices" if everyone else listed(labels)
    if lines == 1:
        spoken = not any(voice.notes for voice in voices)
        together = "" if len(voices) == 1 else " together" if spoken else " in unison"
        text = names + together
    else:
        text = f"{number(lines)} parts" if everyone else f"{names} in {number(lines)} parts"
    return f"leader, then {text}" if len(sounding) > len(voices) else text


def keys(path: KeyPath, tonics: Sequence[Pitch]) -> str:
    """The way through the keys: "C4 up to G4, 8 keys"."""
    text = note(tonics[0])
    if len(tonics) > 1:
        up = path.turn.midi > path.start.midi
        turn = tonics[len(path.semitones()) // 2] if path.back else tonics[-1]
        text += f" {'up' if up else 'down'} to {note(turn)}"
        text += " and back" if path.back else ""
        text += " by whole tones" if path.stride == 2 else ""
        text += f", {plural(len(tonics), 'key')}"
    return text


def pace(facts: Facts, passes: int) -> str:
    """How fast, how often and how long: "92 beats a minute, three times in each key; it
    lasts 47 s"."""
    often = "twice" if passes == 2 else f"{number(passes)} times"
    where = " in each key" if len(facts.keys) > 1 else ""
    repeated = f", {often}{where}" if passes > 1 else ""
    return f"{facts.tempo:g} beats a minute{repeated}; it lasts {seconds(facts.length_seconds)}"


def facts_line(
    front: FrontMatter, facts: Facts | None, chorus: Chorus, vocabulary: Vocabulary
) -> str:
    """The line of facts under the title: "Impact 2 gentle · To learn: at once · a fifth · all
    voices in unison · 3 minutes, 1½ once known · in a circle · When: early"."""
    parts = [f"Impact {impact(front.impact)}", to_learn(front, facts)]
    if facts and any(voice.lowest for voice in facts.voices):
        parts.append(span(facts.ambitus_semitones))
    parts.append(who_sings(facts, chorus))
    parts.append(times(front, facts))
    formation = vocabulary.formations.get(front.formation or "")
    if formation:
        label = formation.label
        parts.append(label[0].lower() + label[1:])
    parts.append(when(front))
    return "\u00a0· ".join(filter(None, parts))  # a line never begins with the dot


def sung_on(phrases: Sequence[str], most: int = 12) -> str:
    """The words that are sung, for a reader who knows an exercise by them."""
    return " / ".join(phrases[:most]) + (" …" if len(phrases) > most else "")
