"""One exercise file in, one record out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from chorus_handbook.chorus import Setting
from chorus_handbook.claims import check_exercise, check_written
from chorus_handbook.entries import read_entry
from chorus_handbook.entries.files import ExerciseFile
from chorus_handbook.entries.model import Entry
from chorus_handbook.entries.stray_notation import check_exercise_text
from chorus_handbook.music import Music, read_music
from chorus_handbook.problems import Problem
from chorus_handbook.records.names import name_drawings, name_sound
from chorus_handbook.records.record import Exercise, Record
from chorus_handbook.source import read_text, shown_path
from chorus_handbook.voices import ladder_of
from chorus_handbook.voices.load import Load, load


def make_record(file: ExerciseFile, setting: Setting, root: Path) -> Record:
    """The record of an exercise file of the handbook in the folder `root`.

    A file whose name is refused is read for its problems only: it may not become a page, and what
    refers to it is not called dangling.
    """
    shown = shown_path(file.path, root)
    text, problems = read_text(file.path, shown)
    problems = [*file.problems, *problems]
    if text is None:
        return Record(file.slug, tuple(problems))
    source, entry, found = read_entry(text, file.slug, shown)
    problems += found
    if file.problems:
        return Record(file.slug, tuple(sorted(problems)))
    front = entry.front if entry else None
    music = Music()
    if setting.chorus:
        music, found = read_music(source, front, setting.chorus, root)
        problems += found
    written = music.score or music.draft
    if written:
        problems += check_written(written)
    problems += check_exercise_text(source, setting.chorus)
    exercise = None
    if entry:
        exercise, found = _measured(entry, music, setting)
        problems += found
    return Record(file.slug, tuple(sorted(set(problems))), source, exercise)


def _measured(entry: Entry, music: Music, setting: Setting) -> tuple[Exercise, list[Problem]]:
    """A valid exercise, and what its claims come to."""
    chorus, vocabulary, front = setting.chorus, setting.vocabulary, entry.front
    ladder = ladder_of(front, music, chorus, vocabulary) if chorus else None
    loads: Mapping[str, Load] = {}
    if music.score and music.facts and ladder:
        loads = load(music.score, ladder, tempo=music.facts.tempo, passes=front.passes)
    exercise = Exercise(entry, music.facts, ladder, loads)
    if music.score and music.facts and chorus:
        made_from = entry, music.score, music.facts, chorus
        exercise = replace(
            exercise, drawings=name_drawings(*made_from), sound=name_sound(*made_from)
        )
    subject = replace(exercise.subject(setting), score=music.score)
    complete = chorus is not None and vocabulary is not None and exercise.complete
    answered, problems = check_exercise(subject, complete=complete)
    return replace(exercise, answered=answered), problems
