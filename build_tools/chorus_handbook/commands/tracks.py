"""`handbook tracks`: practice tracks as MP3, and the notes as MIDI files."""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
from pathlib import Path, PurePath
from typing import Any

from chorus_handbook import pipeline, report
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.music.score import LEADER
from chorus_handbook.problems import did_you_mean
from chorus_handbook.sound.encoding import EncodingError
from chorus_handbook.sound.schedule import Settings
from chorus_handbook.sound.tracks import TooLongError, last_key, track

SUMMARY = "Make practice tracks: an MP3 for every voice of an exercise, and its MIDI file"
_SLOWEST, _FASTEST = 50, 150


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
        help=f"of the written tempo, {_SLOWEST} to {_FASTEST} (default 100)",
    )
    parser.add_argument("--just", action="store_true", help="just intonation, not equal")
    parser.add_argument(
        "--to", type=Path, metavar="DIR", help="where they go (default: tracks/ in the project)"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    if not _SLOWEST <= options.tempo <= _FASTEST:
        raise WrongUsageError(f"--tempo goes from {_SLOWEST} to {_FASTEST} percent")
    folder = (options.to or project.root.parent / "tracks").resolve()
    if folder.is_relative_to(project.root):
        raise WrongUsageError(f'"{folder}" lies in the handbook itself; name another folder')
    book = pipeline.advance(pipeline.begin(project.root, project.cache), pipeline.CHECKS)
    if book.broken or book.setting.chorus is None:
        print(report.as_text(book.problems))
        print("No track was made: the handbook has errors.", file=sys.stderr)
        return 1
    chorus = book.setting.chorus
    slugs = [_slug(name, book) for name in options.exercises] or sorted(book.music.facts)
    voices = [_voice(name, chorus) for name in options.voice or ()]
    book = pipeline.advance(book, tuple(s for s in pipeline.DRAWING if s[0] == "sound"))
    sound, failed = book.sound, False
    assert sound is not None  # the stage has just run
    try:
        for slug in dict.fromkeys(slugs):
            if slug not in sound.notes:
                print(f"{slug} has no notation, so there is nothing to hear.", file=sys.stderr)
                failed = True
                continue
            _place(folder / slug / f"{slug}.mid", sound.midi[slug])
            notes = json.loads(sound.notes[slug])
            failed |= not _tracks(book, notes, voices, folder / slug, options)
    except OSError as failure:
        print(f"handbook tracks: {failure.filename}: {failure.strerror}", file=sys.stderr)
        return 1
    except EncodingError as failure:
        print(f"handbook tracks: {failure}", file=sys.stderr)
        return 1
    print(f"The tracks lie in {folder}.", file=sys.stderr)
    return int(failed)


def _tracks(
    book: pipeline.Handbook,
    notes: dict[str, Any],
    voices: list[str],
    folder: Path,
    options: argparse.Namespace,
) -> bool:
    """The tracks of one exercise; whether all that was asked for could be made."""
    slug: str = notes["slug"]
    assert book.setting.chorus
    singing = [one["name"] for one in notes["voices"] if one["notes"] and one["name"] != LEADER]
    made_all = True
    for voice in [name for name in singing if not voices or name in voices]:
        last = last_key(book.voices.get(slug), voice)
        if last is None:
            print(f"{slug}: {voice} cannot sing its first key; no track.", file=sys.stderr)
            continue
        settings = Settings(
            tempo=options.tempo / 100,
            last=None if last < 0 else last,
            chord_first=True,
            just=options.just,
        )
        print(f"{slug}: {voice} ...", file=sys.stderr, flush=True)
        try:
            made = track(notes, voice, settings, book.setting.chorus.name, book.cache)
        except TooLongError as failure:
            print(f"{slug}: {failure}; tracks end at half an hour. No track.", file=sys.stderr)
            made_all = False
            continue
        _place(folder / f"{slug}-{voice}.mp3", made)
    for name in voices:
        if name not in singing:
            print(f"{slug}: {name} does not sing in it; no track.", file=sys.stderr)
    return made_all


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


def _place(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
