"""`handbook tracks`: makes practice tracks as MP3 files, and MIDI files of the notes. For a routine
it makes one MP3 file with chapters."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path, PurePath

from chorus_handbook import pipeline, report
from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.commands import files
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.usage import number_from
from chorus_handbook.entries.model import EXERCISE, Text
from chorus_handbook.entries.warm_up import ROUTINE, RoutineFields
from chorus_handbook.problems import Problem, did_you_mean
from chorus_handbook.records.parts import Parts
from chorus_handbook.sound import Sound, make_sound
from chorus_handbook.sound.mp3 import EncodingError
from chorus_handbook.sound.schedule import FASTEST, SLOWEST, PlaybackOptions
from chorus_handbook.sound.sound_font import SoundFontError
from chorus_handbook.sound.tracks import Recording, make_all, tracks_of
from chorus_handbook.source import shown_path
from chorus_handbook.warmups.play_through import routine_track

SUMMARY = "Make practice tracks: an MP3 for every voice of an exercise, or one of a routine"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "names",
        nargs="*",
        metavar="NAME",
        help="exercises and routines, by file or name (default: all exercises with notes)",
    )
    parser.add_argument(
        "--voice",
        action="append",
        help="only the tracks with this voice in front; may be given repeatedly",
    )
    parser.add_argument(
        "--tempo",
        type=number_from(SLOWEST, FASTEST),
        default=100,
        metavar="PERCENT",
        help=f"of the written tempo, {SLOWEST} to {FASTEST} (default 100)",
    )
    parser.add_argument(
        "--just", action="store_true", help="just intonation instead of equal temperament"
    )
    parser.add_argument(
        "--to", type=Path, metavar="DIR", help="where they go (default: tracks/ in the project)"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    folder = (options.to or project.root.parent / "tracks").resolve()
    if folder.is_relative_to(project.root):
        raise WrongUsageError(f'"{folder}" is inside the handbook; choose another folder')
    cache = project.cache
    book = project.read()
    chorus = book.config.chorus
    named = [_page(name, book) for name in options.names]
    errors = _blocking_errors(book, named)
    if errors or chorus is None:
        print(report.as_text(errors))
        print("No track was made: the handbook has errors.", file=sys.stderr)
        return 1
    voices = [_voice(name, chorus) for name in options.voice or ()]
    sound, problems = make_sound(chorus, book.root, cache)
    if sound is None:  # a sound font that cannot be played
        print(report.as_text(problems))
        print("No track was made.", file=sys.stderr)
        return 1
    try:
        requested = list(dict.fromkeys(named))
        done = _make(book, chorus, sound, cache, requested, voices, folder, options)
    except (EncodingError, SoundFontError) as failure:
        print(f"handbook tracks: {failure}", file=sys.stderr)
        return 1
    return 0 if done else 1


def _blocking_errors(book: pipeline.Handbook, pages: list[str]) -> list[Problem]:
    """The errors because of which no tracks are made. If exercises or routines were named, these
    are the errors in their files, in the exercises of the routines, and in the files that all
    exercises need; otherwise all errors."""
    root = book.root
    needed = {"chorus.yml", "vocabulary.yml", *pages}
    for page in pages:
        routine = _routine(book, page)
        items = routine.front.items if routine else []
        needed |= {EXERCISE.page(item.exercise) for item in items}
    files = {shown_path(root / page, root) for page in needed}
    return [
        problem
        for problem in book.problems
        if problem.severity == "error" and (not pages or problem.place.path in files)
    ]


def _routine(book: pipeline.Handbook, page: str) -> Text[RoutineFields] | None:
    """The routine with this page; None if there is none or it has errors."""
    found = (text for text in book.texts if text.kind == ROUTINE.name and text.page == page)
    return next(found, None)


def _make(
    book: pipeline.Handbook,
    chorus: Chorus,
    sound: Sound,
    cache: Cache,
    pages: list[str],
    voices: list[str],
    folder: Path,
    options: argparse.Namespace,
) -> bool:
    """Make the tracks of `pages` (of all exercises with notes if there are none) and write them to
    `folder`. Returns whether any track was made and none that was requested by name is missing.
    Without names, voices that do not sing in an exercise are left out."""
    parts = Parts(book.root, chorus, cache)
    tracks: dict[Path, Recording] = {}
    complete = True
    playback = PlaybackOptions(tempo=options.tempo / 100, just=options.just)
    audible = [EXERCISE.page(slug) for slug, e in book.exercises.items() if e.sound]
    for page in pages or sorted(audible):
        if text := _routine(book, page):
            for voice in voices or [""]:
                track = routine_track(
                    *(text, book.exercises, book.config, parts.notes, playback),
                    *(sound.instrument.index, voice),
                )
                why = track.why_not if track else "one of its exercises has errors"
                if track and not why:
                    tracks[folder / track.slug / track.file] = track
                    continue
                print(f"{text.source.slug}: no track was made, because {why}.", file=sys.stderr)
                complete = False
            continue
        slug = PurePath(page).stem
        exercise = book.exercises[slug]
        heard = parts.heard(exercise)
        if heard is None:
            print(f"{slug} has no notes, so there is nothing to hear.", file=sys.stderr)
            complete = False
            continue
        found, missing = tracks_of(
            slug, heard.notes, exercise.ladder, playback, chorus.name, sound.instrument.index
        )
        for voice in voices or [*found, *missing]:
            if voice in found:
                tracks[folder / slug / found[voice].file] = found[voice]
                continue
            why = missing.get(voice, f"{voice} does not sing in it")
            print(f"{slug}: no track was made, because {why}.", file=sys.stderr)
            complete &= not pages
        if found:
            files.replace(folder / slug / f"{slug}.mid", heard.midi)
    made = make_all([*tracks.values()], sound.tones, cache)
    for path, (_, content) in zip(tracks, made, strict=True):
        print(path.relative_to(folder), file=sys.stderr, flush=True)
        files.replace(path, content)
    if tracks:
        print(f"The tracks are in {folder}.", file=sys.stderr)
    return complete and bool(tracks)


def _page(name: str, book: pipeline.Handbook) -> str:
    """The path of the page of the exercise or routine called `name`. That is the path of its file,
    or only the name of the file if no other has the same. Raises WrongUsageError."""
    slug, folder = PurePath(name).name.removesuffix(".md"), PurePath(name).parent.name
    pages = {
        record.page: record.slug
        for record in book.records
        if record.kind in (EXERCISE.name, ROUTINE.name)
    }
    found = [page for page, own in pages.items() if own == slug]
    found = [page for page in found if PurePath(page).parent.name == folder] or found
    if len(found) > 1:
        raise WrongUsageError(f'"{name}" could be any of several; write {" or ".join(found)}')
    if not found:
        guess = did_you_mean(slug, sorted({*pages.values()}))
        raise WrongUsageError(f'there is no exercise or routine "{name}".{guess}')
    return found[0]


def _voice(name: str, chorus: Chorus) -> str:
    """Return the name if the chorus has this voice, or raise WrongUsageError."""
    if name not in chorus.voices:
        raise WrongUsageError(
            f'there is no voice "{name}" in chorus.yml.{did_you_mean(name, chorus.voices)}'
        )
    return name
