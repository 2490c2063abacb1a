"""Makes the file of one exercise that comes from another chorus's handbook.

Everything stays as its author wrote it, comments and layout too, with three exceptions: voices and
words that have another name in our handbook, links that would lead nowhere, and the keys if our
voices cannot sing in them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import PurePosixPath

from chorus_handbook.adopting.choices import Adopted, AdoptionError, Choices, Side
from chorus_handbook.adopting.fields import FieldChanges
from chorus_handbook.adopting.links import relink
from chorus_handbook.adopting.voices import octaves_between
from chorus_handbook.adopting.words import Word
from chorus_handbook.entries.file_places import PUBLISHED
from chorus_handbook.entries.front_matter import change_front, cut
from chorus_handbook.entries.kinds import SCORES
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.music.revoicing import Revoicing
from chorus_handbook.records import Exercise
from chorus_handbook.source import read_text
from chorus_handbook.source.field_editor import FieldEditor


def named_voices(exercise: Exercise, theirs: Side) -> list[str]:
    """The voices of the other chorus that an exercise names in its fields or its notation. Raises
    ScoreFileError."""
    front, chorus = exercise.front, theirs.chorus
    revoicing = Revoicing(chorus, chorus, {})
    stated = [front.voices] if isinstance(front.voices, str) else front.voices or []
    names = [
        *stated,
        *(front.round.entries if front.round else ()),
        *_in_notation(exercise, theirs),
    ]
    if front.tune_to in chorus.voices and front.tune_to != "bass":
        names.append(front.tune_to)
    return list(chorus.in_order(v for name in names for v in revoicing.theirs_of(name) or ()))


def _in_notation(exercise: Exercise, theirs: Side) -> Iterator[str]:
    """The names of voices in the notation of an exercise. Raises ScoreFileError."""
    notation = exercise.source.notation
    if notation is None:
        return
    if notation.kind == "degrees":
        from chorus_handbook.music.degrees.revoice import names_in

        yield from names_in(notation.text)
    elif notation.kind == "abc":
        from chorus_handbook.music.abc.revoice import names_in as names_in_abc

        yield from names_in_abc(notation.text)
    else:
        from chorus_handbook.music.musicxml.container import locate, read_score
        from chorus_handbook.music.musicxml.revoice import names_in as names_in_score

        data = read_score(locate(theirs.root, notation.text))
        yield from names_in_score(data, Revoicing(theirs.chorus, theirs.chorus, {}))


def adopt_exercise(exercise: Exercise, theirs: Side, ours: Side, choices: Choices) -> Adopted:
    """Convert an exercise for our handbook, in the keys that it had. Raises AdoptionError,
    ScoreFileError and OSError."""
    return _Adoption(exercise, theirs, ours, choices).run()


class _Adoption:
    """The conversion of one exercise. `_done` is its result, which grows on the way."""

    def __init__(self, exercise: Exercise, theirs: Side, ours: Side, choices: Choices) -> None:
        self._exercise, self._theirs, self._ours, self._choices = exercise, theirs, ours, choices
        voices = {
            voice: choices.voices[voice]
            for voice in named_voices(exercise, theirs)
            if voice in choices.voices
        }
        octaves = octaves_between(voices, exercise.ladder, theirs.chorus, ours.chorus)
        self._revoicing = Revoicing(theirs.chorus, ours.chorus, voices, octaves)
        self._done = Adopted(EXERCISE.page(choices.slugs[exercise.slug]), "")

    def run(self) -> Adopted:
        """Convert the exercise and return it. Raises AdoptionError, ScoreFileError and OSError."""
        source = self._exercise.source
        path = self._theirs.root / EXERCISE.page(self._exercise.slug)
        text, _ = read_text(path, source.path)
        if text is None:
            raise AdoptionError(f"{source.path} can no longer be read")
        text = self._relinked(self._with_music(text))
        changes = FieldChanges(
            self._exercise,
            self._theirs,
            self._ours,
            self._choices,
            self._revoicing,
            self._done,
            self._known,
        )
        self._done.text = change_front(text, source.path, EXERCISE, changes.make)
        self._say_voices(text)
        return self._done

    def _say(self, remark: str) -> None:
        """Add a remark about a change for the person who adopts the exercise."""
        self._done.remarks.append(remark)

    def _with_music(self, text: str) -> str:
        """The text of the file, in whose music the voices of the other chorus have been replaced by
        ours. If the music is in a score file, that is converted in the same way and added to the
        files to copy, and the text stays as it is."""
        notation, revoicing = self._exercise.source.notation, self._revoicing
        if notation is None:
            return text
        if notation.kind == "score":
            self._take_score(notation.text)
            return text
        from chorus_handbook.music.abc.revoice import revoice as in_abc
        from chorus_handbook.music.degrees.revoice import revoice as in_degrees

        lines = text.split("\n")
        first = notation.place.line - 1
        last = first + notation.text.count("\n") + 1
        music = "\n".join(lines[first:last])
        new = (in_abc if notation.kind == "abc" else in_degrees)(music, revoicing)
        return "\n".join([*lines[:first], *new.split("\n"), *lines[last:]])

    def _take_score(self, name: str) -> None:
        """Add the score file `name` to the files to copy, converted if voices or octaves change."""
        from chorus_handbook.music.musicxml.container import locate, read_score
        from chorus_handbook.music.musicxml.revoice import revoice

        file = locate(self._theirs.root, name)
        voices = self._revoicing.voices
        if all(old == new for old, new in voices.items()) and not self._revoicing.octaves:
            content, ending = file.read_bytes(), file.suffix.lower()
        else:
            content, ending = revoice(read_score(file), self._revoicing), ".musicxml"
        slug = self._choices.slugs[self._exercise.slug]
        self._done.files[f"{SCORES}/{slug}{ending}"] = content

    def _relinked(self, text: str) -> str:
        """The text of the file with its links changed for our handbook."""
        parts, _ = cut(text, self._exercise.source.path, EXERCISE)
        page = EXERCISE.page(self._exercise.slug)
        body, lost = relink(parts.body, page, self._done.page, self._target)
        if lost:
            self._say(f"Links that would lead nowhere are plain text now: {', '.join(lost)}.")
        head = text.split("\n")[: parts.body_line - 1]
        return "\n".join([*head, body])

    def _target(self, path: str) -> str | None:
        """The path in our handbook to which a link to `path` in the other handbook must lead; None
        if there is nothing to link to. A picture is added to the files to copy. Raises
        AdoptionError if our handbook has a different file at this path."""
        folder, _, name = path.rpartition("/")
        slug = name.removesuffix(".md")
        if folder == EXERCISE.folder and name.endswith(".md"):
            new = self._known(slug)
            return EXERCISE.page(new) if new else None
        if folder == "goals":
            goal = self._choices.words.get(Word("goals", slug), slug)
            return f"goals/{goal}.md" if goal in self._ours.vocabulary.goals else None
        ours, theirs = self._ours.root / path, self._theirs.root / path
        if path.endswith(".md"):
            return path if ours.is_file() else None
        if PurePosixPath(path).suffix.lower() not in PUBLISHED or not theirs.is_file():
            return None
        if not theirs.resolve().is_relative_to(self._theirs.root.resolve()):
            return None  # a symbolic link out of that handbook could lead to a private file
        content = theirs.read_bytes()
        if ours.exists() and ours.read_bytes() != content:
            raise AdoptionError(
                f'"{path}" would be copied, but there is another file with this path in this '
                "handbook; rename one of the two"
            )
        if not ours.exists():
            self._done.files[path] = content
        return path

    def _known(self, slug: str) -> str | None:
        """The slug in our handbook of an exercise of the other handbook that is adopted together
        with this one, or that is in our handbook already; None for any other."""
        if slug in self._choices.slugs:
            return self._choices.slugs[slug]
        here, there = self._ours.exercises.get(slug), self._theirs.exercises.get(slug)
        return slug if here and there and here.front.title == there.front.title else None

    def _say_voices(self, text: str) -> None:
        """Add remarks about voices that have another name now, in the music and in the text."""
        revoicing = self._revoicing
        moved = {old: new for old, new in revoicing.voices.items() if old != new}
        for old, new in moved.items():
            octaves = revoicing.octaves.get(old, 0)
            way = "higher" if octaves > 0 else "lower"
            by = {0: "", 1: f", an octave {way}"}.get(abs(octaves), f", two octaves {way}")
            self._say(f"{new} sings what {old} sang{by}.")
        labels = [self._theirs.chorus.voices[old].label for old in moved]
        named = [label for label in labels if _mentions(text, label)]
        if named:
            self._say(f"Its text still mentions {', '.join(named)}: please read it through.")


def _mentions(text: str, label: str) -> bool:
    """Whether the text of an exercise, apart from its fields and its music, contains the name
    `label` of a voice."""
    prose = re.sub(r"\A---\n.*?\n---\n|^```.*?^```", "", text, flags=re.S | re.M)
    return re.search(rf"\b{re.escape(label)}(?:s|es)?\b", prose, re.I) is not None


def with_keys(adopted: Adopted, keys: str, step_out: str | None) -> Adopted:
    """A copy of the adopted exercise with another field `keys` and, if `step_out` is not None,
    another field `step_out`."""

    def change(fields: FieldEditor) -> None:
        fields.replace(("keys",), keys)
        if step_out and ("step_out",) in fields:
            fields.replace(("step_out",), step_out)
        elif step_out:
            fields.append("step_out", step_out)

    return replace(adopted, text=change_front(adopted.text, adopted.page, EXERCISE, change))
