"""Makes the record of one file: everything that is known of the file by itself.

The file is read (`entries`), its music is measured (`music`, `voices`), and the checks are run
(`claims`). An exercise also gets the cache keys of its drawings and sound, and its entries in the
data files of the site. `store` calls `make_record` for a file whose record is not in the cache.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from chorus_handbook.cache import Cache
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.claims.checks import check_exercise, check_written
from chorus_handbook.entries import read_entry
from chorus_handbook.entries.files import ContentFile
from chorus_handbook.entries.misplaced import looks_like_exercise, out_of_place
from chorus_handbook.entries.model import EXERCISE, Entry, Source
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.stray_notation import check_text
from chorus_handbook.music import Music, read_music
from chorus_handbook.problems import Problem
from chorus_handbook.records.names import drawings_key, sound_key
from chorus_handbook.records.planning_numbers import planning_entry, planning_numbers
from chorus_handbook.records.published import export_entry, index_entry, ladder_for_browser
from chorus_handbook.records.recent_scores import remember_score
from chorus_handbook.records.record import AnyRecord, Content, Exercise, Record, ladder_form
from chorus_handbook.sound.chords import named_chords
from chorus_handbook.sound.timed import in_time
from chorus_handbook.source import read_text, shown_path
from chorus_handbook.voices import ladder_of
from chorus_handbook.voices.load import Load, loads_of


def make_record(file: ContentFile, config: ChorusConfig, root: Path) -> AnyRecord:
    """The record of a file of the handbook in the folder `root`.

    A file whose name is refused has no page. It is read all the same, for its other problems, and
    so that references to it are not reported as broken.
    """
    kind, shown = file.kind, shown_path(file.path, root)
    text, problems = read_text(file.path, shown)
    if text is None:
        return _record(file, problems)
    if not kind.folder and looks_like_exercise(text):
        return Record(kind.name, "", file.page, (out_of_place(file.path, root),))
    if kind is EXERCISE:
        source, entry, found = read_entry(text, file.slug, shown)
        problems += found
        if file.problems:
            return _record(file, problems)
        exercise, found = _measured(source, entry, config, root)
        problems += [*found, *check_text(source, kind, config.chorus)]
        return _record(file, problems, source, exercise)
    source, written, _, found = read_written(kind, text, file.slug, shown)
    problems += found
    if file.problems:
        return _record(file, problems)
    return _record(file, [*problems, *check_text(source, kind, config.chorus)], source, written)


def _record(
    file: ContentFile,
    problems: list[Problem],
    source: Source | None = None,
    content: Content | None = None,
) -> Record[Content]:
    """A record of this file. Its problems are the given ones and those of the file's name."""
    found = tuple(sorted({*file.problems, *problems}))
    return Record(file.kind.name, file.slug, file.page, found, source, content)


def _measured(
    source: Source, entry: Entry | None, config: ChorusConfig, root: Path
) -> tuple[Exercise | None, list[Problem]]:
    """An exercise with its music measured, and the problems; None if its fields have errors."""
    problems: list[Problem] = []
    music = Music()
    if config.chorus:
        music, problems = read_music(source, entry.front if entry else None, config.chorus, root)
    score = music.score or music.draft
    if score:
        problems += check_written(score.written)
    if entry is None:
        return None, problems
    exercise, found = _checked(entry, music, config)
    return exercise, [*problems, *found]


def _checked(entry: Entry, music: Music, config: ChorusConfig) -> tuple[Exercise, list[Problem]]:
    """A valid exercise with its ladder (who can sing which key), and the notices that its author
    has not silenced with the field `answers`."""
    chorus, vocabulary, front = config.chorus, config.vocabulary, entry.front
    ladder = ladder_of(front, music, chorus, vocabulary) if chorus else None
    loads: Mapping[str, Load] = {}
    if music.score and music.facts and ladder and chorus:
        loads = loads_of(music.score, ladder, chorus, tempo=music.facts.tempo, passes=front.passes)
    ladder_json = ladder_form().dump_json(ladder).decode() if ladder else ""
    exercise = Exercise(entry, music.facts, ladder_json, loads)
    if music.score and music.facts and chorus:
        made_from = entry, music.score, music.facts, chorus
        exercise = replace(
            exercise,
            chords=named_chords(in_time(music.score, chorus)),
            drawings=drawings_key(*made_from),
            sound=sound_key(*made_from),
        )
        remember_score(exercise, music.score)
    subject = replace(exercise.subject(config), score=music.score, ladder=ladder)
    complete = chorus is not None and vocabulary is not None and exercise.complete
    answered, problems = check_exercise(subject, complete=complete)
    return _published(replace(exercise, answered=answered), config), problems


def _published(exercise: Exercise, config: ChorusConfig) -> Exercise:
    """Add an exercise's entries in the site's data files, and its digests for the keys of pages."""
    front, facts = exercise.front, exercise.facts
    index = index_entry(exercise.slug, front, ladder_for_browser(exercise))
    export = export_entry(exercise, config.vocabulary) if config.vocabulary else ""
    planning = ""
    if config.vocabulary and exercise.complete:
        planning = planning_entry(planning_numbers(exercise, config.vocabulary))
    return replace(
        exercise,
        export_entry=export,
        index_entry=index,
        planning_entry=planning,
        digest=Cache.key(repr(exercise)),
        row=Cache.key(repr((exercise.slug, front, facts, exercise.drawings))),
    )
