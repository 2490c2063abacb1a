"""`handbook tracks`: practice tracks as MP3, and the notes as MIDI files."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path, PurePath

from chorus_handbook import pipeline, report
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.problems import did_you_mean
from chorus_handbook.sound.encoding import EncodingError
from chorus_handbook.sound.schedule import FASTEST, SLOWEST, Settings
from chorus_handbook.sound.sound_font import SoundFontError
from chorus_handbook.sound.track_pool import make_all
from chorus_handbook.sound.tracks import Track, tracks_of

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
        raise WrongUsageError(f'"{folder}" lies in the handbook itself; name another folder')
    book = pipeline.advance(pipeline.begin(project.root, project.cache), pipeline.CHECKS)
    if book.broken or book.setting.chorus is None:
        print(report.as_text(book.problems))
        print("No track was made: the handbook has errors.", file=sys.stderr)
        return 1
    slugs = [_slug(name, book) for name in options.exercises]
    voices = [_voice(name, book.setting.chorus) for name in options.voice or ()]
    book = pipeline.advance(book, tuple(s for s in pipeline.DRAWING if s[0] == "sound"))
    if book.broken:  # a sound font that cannot be played
        print(report.as_text(book.problems))
        print("No track was made.", file=sys.stderr)
        return 1
    try:
        done = _make(book, list(dict.fromkeys(slugs)), voices, folder, options)
    except OSError as failure:
        print(f"handbook tracks: {failure.filename}: {failure.strerror}", file=sys.stderr)
        return 1
    except (EncodingError, SoundFontError) as failure:
        print(f"handbook tracks: {failure}", file=sys.stderr)
        return 1
    return 0 if done else 1


def _make(
    book: pipeline.Handbook,
    slugs: list[str],
    voices: list[str],
    folder: Path,
    options: argparse.Namespace,
) -> bool:
    """Make and write the tracks; whether all that was asked for by name is there, and anything at
    all. Among all exercises some voices may be left out: nobody asked for those by name."""
    sound, chorus = book.sound, book.setting.chorus
    assert sound is not None and chorus is not None  # the stages have run
    if sound.instrument is None:
        print("No exercise has notation, so there is nothing to hear.", file=sys.stderr)
        return False
    tracks: list[Track] = []
    complete = True
    settings = Settings(tempo=options.tempo / 100, just=options.just)
    for slug in slugs or sorted(book.music.facts):
        if slug not in sound.notes:
            print(f"{slug} has no notation, so there is nothing to hear.", file=sys.stderr)
            complete = False
            continue
        ladder = book.voices.get(slug)
        found, missing = tracks_of(
            slug, sound.notes[slug], ladder, settings, chorus.name, sound.instrument.index
        )
        for voice in voices or [*found, *missing]:
            if voice in found:
                tracks.append(found[voice])
                continue
            why = missing.get(voice, f"{voice} does not sing in it")
            print(f"{slug}: {why}; no track.", file=sys.stderr)
            complete &= not slugs
        if found:
            _place(folder / slug / f"{slug}.mid", sound.midi[slug])
    for track, made in make_all(tracks, sound.tones, book.cache):
        print(f"{track.slug}: {track.voice}", file=sys.stderr, flush=True)
        _place(folder / track.slug / track.file, made)
    if tracks:
        print(f"The tracks lie in {folder}.", file=sys.stderr)
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
