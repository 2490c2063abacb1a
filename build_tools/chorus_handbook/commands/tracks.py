"""`handbook tracks`: makes practice tracks as MP3 files, and MIDI files of the notes."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path, PurePath

from chorus_handbook import pipeline, report
from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.commands import files
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.problems import Problem, did_you_mean
from chorus_handbook.records.parts import Parts
from chorus_handbook.sound import Sound, make_sound
from chorus_handbook.sound.mp3 import EncodingError
from chorus_handbook.sound.schedule import FASTEST, SLOWEST, PlaybackOptions
from chorus_handbook.sound.sound_font import SoundFontError
from chorus_handbook.sound.tracks import Track, make_all, tracks_of
from chorus_handbook.source import shown_path

SUMMARY = "Make practice tracks: an MP3 for every voice of an exercise, and its MIDI file"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "exercises", nargs="*", metavar="EXERCISE", help="files or names (default: all with notes)"
    )
    parser.add_argument("--voice", action="append", help="only this voice; may be given again")
    parser.add_argument(
        "--tempo",
        type=int,
        default=100,
        metavar="PERCENT",
        help=f"of the written tempo, {SLOWEST} to {FASTEST} (default 100)",
    )
    parser.add_argument("--just", action="store_true", help="just intonation, not equal")
    parser.add_argument(
        "--to", type=Path, metavar="DIR", help="where they go (default: tracks/ in the project)"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    if not SLOWEST <= options.tempo <= FASTEST:
        raise WrongUsageError(f"--tempo goes from {SLOWEST} to {FASTEST} percent")
    folder = (options.to or project.root.parent / "tracks").resolve()
    if folder.is_relative_to(project.root):
        raise WrongUsageError(f'"{folder}" is inside the handbook; choose another folder')
    cache = project.cache
    book = project.read()
    chorus = book.config.chorus
    slugs = [_slug(name, book) for name in options.exercises]
    errors = _blocking_errors(book, slugs)
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
        requested = list(dict.fromkeys(slugs))
        done = _make(book, chorus, sound, cache, requested, voices, folder, options)
    except (EncodingError, SoundFontError) as failure:
        print(f"handbook tracks: {failure}", file=sys.stderr)
        return 1
    return 0 if done else 1


def _blocking_errors(book: pipeline.Handbook, slugs: list[str]) -> list[Problem]:
    """The errors that stop the command: those of the exercises that were named and of the files
    that all exercises need; if none was named, those of any file."""
    root = book.root
    needed = [root / "chorus.yml", root / "vocabulary.yml"]
    needed += [root / EXERCISE.page(slug) for slug in slugs]
    files = {shown_path(file, root) for file in needed}
    return [
        problem
        for problem in book.problems
        if problem.severity == "error" and (not slugs or problem.place.path in files)
    ]


def _make(
    book: pipeline.Handbook,
    chorus: Chorus,
    sound: Sound,
    cache: Cache,
    slugs: list[str],
    voices: list[str],
    folder: Path,
    options: argparse.Namespace,
) -> bool:
    """Make and write the tracks. Returns whether any was made, and every exercise and voice that
    was requested by name. Without names, voices that do not sing in an exercise are left out."""
    parts = Parts(book.root, chorus, cache)
    tracks: list[Track] = []
    complete = True
    playback = PlaybackOptions(tempo=options.tempo / 100, just=options.just)
    audible = [slug for slug, exercise in book.exercises.items() if exercise.sound]
    for slug in slugs or sorted(audible):
        exercise = book.exercises[slug]
        heard = parts.heard(exercise)
        if heard is None:
            print(f"{slug} has no notation, so there is nothing to hear.", file=sys.stderr)
            complete = False
            continue
        found, missing = tracks_of(
            slug, heard.notes, exercise.ladder, playback, chorus.name, sound.instrument.index
        )
        for voice in voices or [*found, *missing]:
            if voice in found:
                tracks.append(found[voice])
                continue
            why = missing.get(voice, f"{voice} does not sing in it")
            print(f"{slug}: {why}; no track.", file=sys.stderr)
            complete &= not slugs
        if found:
            files.replace(folder / slug / f"{slug}.mid", heard.midi)
    for track, made in make_all(tracks, sound.tones, cache):
        print(f"{track.slug}: {track.voice}", file=sys.stderr, flush=True)
        files.replace(folder / track.slug / track.file, made)
    if tracks:
        print(f"The tracks are in {folder}.", file=sys.stderr)
    return complete and bool(tracks)


def _slug(name: str, book: pipeline.Handbook) -> str:
    slug = PurePath(name).name.removesuffix(".md")
    if slug not in book.entries.slugs:
        raise WrongUsageError(
            f'there is no exercise "{name}".{did_you_mean(slug, book.entries.slugs)}'
        )
    return slug


def _voice(name: str, chorus: Chorus) -> str:
    if name not in chorus.voices:
        raise WrongUsageError(
            f'there is no voice "{name}" in chorus.yml.{did_you_mean(name, chorus.voices)}'
        )
    return name
