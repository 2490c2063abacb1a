"""Gives the lines of the stock's exercises to the voices of another chorus.

The stock is written for sopranos, altos, tenors and basses. A chorus with as many voices sings
their lines in score order, each moved by octaves to where its voice sings: the highest line with
the highest voice, and what the basses sang stays the lowest line. The text then names these voices.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from chorus_handbook.adopting.choices import AdoptionError, Choices, Side
from chorus_handbook.adopting.exercise import adopt_exercise, named_voices
from chorus_handbook.chorus import ChorusConfig, read_chorus_config
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries import read_entry
from chorus_handbook.entries.model import EXERCISE, Entry
from chorus_handbook.music import read_score
from chorus_handbook.music.keys import spell_keys
from chorus_handbook.records.record import Exercise, ladder_form
from chorus_handbook.voices import compute_ladder

#: A line of notation that moves one voice by octaves. Which octave would suit another voice cannot
#: be told from it, so an exercise with such a line is not given to other voices.
_OWN_OCTAVE = re.compile(r"(?m)^octave:")
_NOTATION = re.compile(r"(```.*?^```)", re.DOTALL | re.MULTILINE)
_SUMMARY = re.compile(r"(?m)^summary: .*$")


class Revoicer:
    """Rewrites the exercises of the handbook in `root` for a chorus with other voices, ours (the
    one in `config`): each melodic line is given to one of our voices. Score files are put into the
    folder `scratch`."""

    def __init__(self, root: Path, config: ChorusConfig, scratch: Path) -> None:
        self.scratch = scratch
        stock, _ = read_chorus_config(root)
        assert stock.chorus and stock.vocabulary and config.chorus
        self._theirs = Side(root, stock.chorus, stock.vocabulary, {})
        # The same folder as theirs, so that no link counts as lost: `texts` later removes those
        # that lead nowhere in the new handbook.
        self._ours = replace(self._theirs, chorus=config.chorus)
        names = [path.stem for path in (root / EXERCISE.folder).glob("*.md")]
        self._slugs = {name: name for name in names}

    def lacks_voices(self, entry: Entry, text: str) -> bool:
        """Whether an exercise needs more voices than our chorus has: in its notes, or by the names
        in its text."""
        few = len(self._ours.chorus.voices)
        if few >= len(self._theirs.chorus.voices):
            return False
        named = {voice.label for voice in self._theirs.chorus.voices.values()}
        spoken = sum(re.search(rf"(?i)\b{label}(e?s)?\b", text) is not None for label in named)
        return few < max(spoken, len(named_voices(Exercise(entry), self._theirs)))

    def revoiced(self, entry: Entry, text: str) -> tuple[str, Mapping[str, bytes]] | None:
        """An exercise rewritten for our voices: its text, and the contents of its score file by
        path (none if it has no such file). None if our voices cannot sing its lines. Raises
        OSError."""
        theirs, ours = self._theirs.chorus, self._ours.chorus
        exercise = self._exercise(entry)
        needed = named_voices(exercise, self._theirs)
        whole = len(ours.voices) >= len(theirs.voices)
        old = list(theirs.voices) if whole else needed
        if len(old) > len(ours.voices) or _OWN_OCTAVE.search(text):
            return None
        voices = assigned(old, ours)
        for _attempt in range(2):
            choices = Choices(self._slugs, voices)
            try:
                done = adopt_exercise(exercise, self._theirs, self._ours, choices)
            except AdoptionError:
                return None
            heights = self._heights(entry.slug, done.text, done.files)
            order = [
                old
                for new in ours.voices
                for old in needed
                if voices[old] == new and new in heights
            ]
            by_height = sorted(order, key=lambda old: -heights[voices[old]])
            if [heights[voices[old]] for old in order] == [heights[voices[o]] for o in by_height]:
                renamed = _with_names(done.text, voices, theirs, ours)
                return None if renamed is None else (renamed, done.files)
            if heights[voices[by_height[-1]]] != heights[voices[order[-1]]]:
                return None  # with another line below the others, the chords would be inverted
            voices = voices | {o: voices[n] for o, n in zip(by_height, order, strict=True)}
        return None

    def _exercise(self, entry: Entry) -> Exercise:
        """The exercise with its ladder (what each voice of the stock's chorus sings in each key),
        which `adopt_exercise` needs."""
        path = entry.front.key_path
        score = read_score(entry.source, entry.front, self._theirs.chorus, self._theirs.root)[0]
        if score.score is None or path is None:
            return Exercise(entry)
        keys = spell_keys(score.score, path)
        ladder = compute_ladder(score.score, keys, self._theirs.chorus)
        return Exercise(entry, ladder_json=ladder_form().dump_json(ladder).decode())

    def _heights(self, slug: str, text: str, files: Mapping[str, bytes]) -> dict[str, float]:
        """Maps the name of each of our voices that sings pitches to the middle of its line in the
        first key, as a MIDI number. `text` and `files` are the rewritten exercise."""
        for path, content in files.items():
            (self.scratch / path).parent.mkdir(parents=True, exist_ok=True)
            (self.scratch / path).write_bytes(content)
        source, entry, _ = read_entry(text, slug, f"handbook/{EXERCISE.page(slug)}")
        keys = entry.front.key_path if entry else None
        chorus = self._ours.chorus
        score = read_score(source, entry.front if entry else None, chorus, self.scratch)[0].score
        if score is None or keys is None:
            return {}
        rung = compute_ladder(score, [keys.start], chorus).rungs[:1]
        return {
            name: (step.reach.lowest + step.reach.highest) / 2
            for one in rung
            for name, step in one.voices.items()
        }


def assigned(old: Sequence[str], ours: Chorus) -> dict[str, str]:
    """Our voice for each of the `old` voices of the stock, which are in score order. It is our
    first voice whose name contains the old voice's name ("tenor-1" for "tenor"). If that does not
    give each its own voice, our voices are taken in score order too, at even distances if there are
    more of them."""
    names = list(ours.voices)
    alike = {voice: next((name for name in names if voice in name), "") for voice in old}
    if all(alike.values()) and len({*alike.values()}) == len(old):
        return alike
    apart = (len(names) - 1) / max(len(old) - 1, 1)
    return {voice: names[round(place * apart)] for place, voice in enumerate(old)}


def _with_names(text: str, voices: Mapping[str, str], theirs: Chorus, ours: Chorus) -> str | None:
    """The text with the names of our voices in place of the old ones, outside its fields and its
    music; None if it names an old voice that none of ours replaces. In the summary only plurals are
    replaced ("basses"), because "bass" alone may mean the lowest line, whoever sings it."""
    labels = {theirs.voices[old].label.casefold(): ours.voices[new] for old, new in voices.items()}
    known = "|".join(re.escape(voice.label.casefold()) for voice in theirs.voices.values())
    many = re.compile(rf"(?i)\b({known})(?:e?s)\b")
    any_number = re.compile(rf"(?i)\b({known})(e?s)?\b")
    lacking: list[str] = []

    def ours_for(found: re.Match[str]) -> str:
        voice = labels.get(found[1].casefold())
        if voice is None:
            lacking.append(found[0])
            return found[0]
        plural = found.re is many or found[2]
        label = _plural(voice.label) if plural else voice.label
        return label[0].upper() + label[1:] if found[0][0].isupper() else label.casefold()

    head, line, body = text.partition("\n---\n")
    head = _SUMMARY.sub(lambda found: many.sub(ours_for, found[0]), head)
    parts = _NOTATION.split(body)
    parts = [part if part.startswith("```") else any_number.sub(ours_for, part) for part in parts]
    return None if lacking else head + line + "".join(parts)


def _plural(label: str) -> str:
    """The plural of the name of a voice, such as "altos"."""
    if re.search(r"(?i)(\d|[^s]s|men|ren)$", label):
        return label
    return f"{label}es" if label.endswith("s") else f"{label}s"
