"""`handbook init`: begins the handbook of another chorus, whole and without problems.

What the options do not say is asked at the keyboard. The new handbook is put together and checked
before anything is written. It is then written beside its final place, and moved there last.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import get_args

from chorus_handbook import report
from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.commands.files import write_new
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.questions import Known, Question, answers
from chorus_handbook.commands.staging import check_place, clear_left_behind, staging
from chorus_handbook.source.text import FORBIDDEN
from chorus_handbook.starters.choruses import READY, VoiceRange, read_voices
from chorus_handbook.starters.exercises import Reason
from chorus_handbook.starters.handbook import Choice, NewHandbook, compose
from chorus_handbook.starters.stock import Amount, stock_folder

SUMMARY = "Begin a handbook of your own: asks who sings, or takes it from flags"

#: The answer for singers that are none of the ready choruses.
_OWN = "own"
_SETTINGS = "mkdocs.yml"
_ELSEWHERE = "name another folder: handbook init DIR"
_LONGEST_NAME = 80
#: The values of --stock, and what each means.
_AMOUNTS: Mapping[str, str] = {
    "everyday": "about twenty exercises for every week; a dozen for changing voices",
    "all": "the whole stock, more than eighty exercises",
    "one": "one exercise, as an example",
}
#: What may be in the folder already without a sign that it is used for something else.
_HARMLESS = (".git", ".gitignore", ".gitattributes", ".venv", ".DS_Store", "desktop.ini")
#: Why exercises are left out of the new handbook; ends the line "Left out, because ...".
_REASONS: Mapping[Reason, str] = {
    "voices": "they have more parts than this chorus has voices",
    "lines": "among these voices their lines would cross, or another would be the lowest",
    "keys": "there are no keys in which these voices can sing them",
    "notices": "`handbook check` has a notice about them with these voices",
    "strong": "they ask more of the voice than young voices should begin with",
}
#: Exercises left out for one of these reasons can be added later with `handbook adopt`.
_STILL_ADOPTABLE: tuple[Reason, ...] = ("lines", "keys", "notices")
#: Everyday words for the ready choruses, and the names that --singers takes.
_EVERYDAY_WORDS = {
    "satb": "mixed",
    "women": "upper-voices",
    "men": "lower-voices",
    "quartet": "close-harmony",
    "young people": "changing-voices",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", nargs="?", type=Path, metavar="DIR", help="where to begin it (default: here)"
    )
    parser.add_argument("--name", help="the chorus's name")
    who = parser.add_mutually_exclusive_group()
    who.add_argument("--singers", choices=[*READY], help="a ready chorus to begin with")
    who.add_argument(
        "--voice",
        action="append",
        metavar='"NAME LOW to HIGH"',
        help='a voice with its lowest and highest note, such as "Alto F3 to D5"; the highest '
        "voice first; may be given repeatedly",
    )
    parser.add_argument(
        "--stock", choices=get_args(Amount), help="how many ready exercises it begins with"
    )
    parser.add_argument(
        "--not-empty", action="store_true", help="begin it even if the folder has other files"
    )
    parser.add_argument(
        "--dry-run", action="store_true", help="only say what would be written and left out"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    folder = options.folder or project.folder
    _check_folder(folder, options.not_empty)
    choice = _choice(options)
    print("Putting the handbook together ...", file=sys.stderr)
    new = compose(choice, date.today())
    if new.problems:
        print(report.as_text(new.problems), file=sys.stderr)
        print("handbook init: nothing was written.", file=sys.stderr)
        return 1
    if not options.dry_run:
        _write(folder, new)
    _summarise(folder, new, written=not options.dry_run)
    return 0


def _check_folder(folder: Path, not_empty: bool) -> None:
    """Raise WrongUsageError for a folder in which a handbook cannot be begun: one with a handbook,
    or with other files unless `not_empty` is true."""
    for path in (folder / "handbook", folder / "chorus.yml", folder / _SETTINGS):
        if (path.is_symlink() or path.exists()) and not _left_behind(path):
            raise WrongUsageError(f'"{path}" exists already; {_ELSEWHERE}')
    if not folder.exists():
        return
    others = sorted(
        path.name
        for path in folder.iterdir()
        if path.name not in _HARMLESS and not _left_behind(path)
    )
    if others and not not_empty:
        listed = ", ".join(others[:3]) + (", ..." if len(others) > 3 else "")
        raise WrongUsageError(
            f'"{folder}" has other files in it ({listed}); {_ELSEWHERE}, '
            "or add --not-empty to begin the handbook beside them (none of them is changed)"
        )


def _left_behind(path: Path) -> bool:
    """Whether a file or folder may come from an `init` that was killed: its temporary folder, or
    mkdocs.yml with our plugin, which is written before the handbook."""
    if path.name == _SETTINGS and path.is_file():
        return b"\n  - chorus-handbook" in path.read_bytes()
    return path.name.startswith(".handbook-")


def _choice(options: argparse.Namespace) -> Choice:
    """The choices made by flags or, where flags are missing, at the keyboard."""
    known = _no_handbook_yet()
    if options.voice:
        options.singers = _OWN
    typed = not options.voice
    who = answers(options, known, (_NAME, _SINGERS, _VOICES, _STOCK))
    while typed and who["voice"] and not _agreed(who["voice"]):
        who = answers(options, known, (replace(_VOICES, optional=False),))
    kind = None if who["singers"] == _OWN else who["singers"]
    return Choice(who["name"], kind, tuple(who["voice"] or ()), who["stock"])


def _agreed(voices: Sequence[VoiceRange]) -> bool:
    """Show the voices as they were understood, and ask at the keyboard whether they are right."""
    for voice in voices:
        print(f"  {voice.label}: {voice.lowest} to {voice.highest}", file=sys.stderr)
    return bool(answers(argparse.Namespace(agreed=None), _no_handbook_yet(), (_AGREED,))["agreed"])


def _yes_or_no(text: str, _: Known) -> bool:
    if text.strip().casefold() not in ("y", "yes", "n", "no"):
        raise ValueError("please answer y or n")
    return text.strip().casefold().startswith("y")


def _no_handbook_yet() -> Known:
    """What answers are checked against before there is a vocabulary or an exercise: nothing."""
    return Known(Vocabulary.model_construct(goals={}, soundings={}))


def _name(text: str, _: Known) -> str:
    text = text.strip()
    if not text:
        raise ValueError("write the name as it should stand on the site")
    if len(text) > _LONGEST_NAME:
        raise ValueError(f"a name can have at most {_LONGEST_NAME} letters; shorten it")
    if len(text.splitlines()) > 1:
        raise ValueError("write the name in one line")
    if unseen := FORBIDDEN.search(text):
        raise ValueError(f"delete the invisible character U+{ord(unseen[0]):04X}")
    return text


def _one_of(words: Sequence[str], text: str) -> str:
    """Return the text if it is one of the words. Raises ValueError, which lists them, if not."""
    if text.strip() not in words:
        raise ValueError(f"write one of these words: {', '.join(words)}")
    return text.strip()


_NAME = Question("name", "The chorus's name", _name)
_SINGERS = Question(
    "singers",
    "Who sings",
    lambda text, _: _one_of([*READY, _OWN], _EVERYDAY_WORDS.get(text.strip().casefold(), text)),
    lambda _: "mixed",
    lambda _: {**READY, _OWN: "other voices: you give their lowest and highest notes"},
)
_VOICES = Question(
    "voice",
    "The voices, the highest first, such as Soprano A3 to A5, Alto F3 to D5",
    lambda text, _: read_voices(text),
    optional=True,
    applies=lambda known: known.answers["singers"] == _OWN,
)
_AGREED = Question("agreed", "Are these the voices (y/n)", _yes_or_no, lambda _: "y")
_STOCK = Question(
    "stock",
    "Begin with",
    lambda text, _: _one_of([*_AMOUNTS], text),
    lambda _: "everyday",
    lambda _: {**_AMOUNTS},
)


def _write(folder: Path, new: NewHandbook) -> None:
    """Write all of the files, or none. The handbook itself is moved to its place last."""
    root = folder / "handbook"
    check_place(root)
    made = not folder.exists()
    clear_left_behind(root)
    try:
        _write_beside(folder, root, new)
    except BaseException:
        if made and folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()
        raise


def _write_beside(folder: Path, root: Path, new: NewHandbook) -> None:
    """Write the handbook into a folder beside `root`, and the files outside it into `folder`; then
    move the handbook to `root`. If anything fails, the files outside are deleted again."""
    outside: dict[Path, bytes] = {}
    with staging(root) as stage:
        for path, content in new.files.items():
            inside = path.removeprefix("handbook/")
            if inside != path:
                (stage.new / inside).parent.mkdir(parents=True, exist_ok=True)
                (stage.new / inside).write_bytes(content)
            elif not _stays(folder / path, content):
                outside[folder / path] = content
        write_new(outside, _ELSEWHERE)
        try:
            stage.publish()
        except BaseException:
            for file in outside:
                file.unlink(missing_ok=True)
            raise


def _stays(path: Path, content: bytes) -> bool:
    """Whether a file outside the handbook exists and can stay: the user's own .gitignore, or a file
    just as an `init` that was killed had written it."""
    return path.exists() and (path.name == ".gitignore" or path.read_bytes() == content)


def _summarise(folder: Path, new: NewHandbook, *, written: bool) -> None:
    """Print what the new handbook contains and lacks, and what to do next; or, if it is not
    `written`, which files it would have."""
    _report_left_out(new)
    _report_voices(new)
    count = len(new.exercises)
    exercises = "1 exercise" if count == 1 else f"{count} exercises"
    if not written:
        print(
            f"\nThe handbook would have {exercises}. Nothing was written. These would be its "
            "files:",
            file=sys.stderr,
        )
        for path in new.files:
            print(folder / path)
        return
    # On a line of its own: not every shell of Windows knows "&&".
    go_there = "" if folder.resolve() == Path.cwd() else f'   cd "{folder}"\n'
    print(
        f"\nYour handbook has {exercises}. Now:\n"
        f"1. See it in your browser:\n{go_there}   handbook serve\n"
        "2. Say who sings: in handbook/chorus.yml, put in the ranges of your own singers.\n"
        "3. Write an exercise: handbook new. Then put the site online: handbook build.",
        file=sys.stderr,
    )
    print(folder / "handbook")


def _report_left_out(new: NewHandbook) -> None:
    """Print which exercises of the stock are not in the new handbook, grouped by the reason."""
    for reason, why in _REASONS.items():
        left_out = [one for one in new.left_out if one.reason == reason]
        if left_out:
            print(f"\nLeft out, because {why}:", file=sys.stderr)
        for one in left_out:
            print(f"  {one.title} ({one.slug})", file=sys.stderr)
    if any(one.reason in _STILL_ADOPTABLE for one in new.left_out):
        print(
            "\nYou can still add any of these; `handbook check` will have a notice about it:\n"
            f'  handbook adopt "{stock_folder()}" NAME --in-order',
            file=sys.stderr,
        )


def _report_voices(new: NewHandbook) -> None:
    """Print each voice as it was understood."""
    print("\nThe voices, from high to low:", file=sys.stderr)
    for voice in new.chorus.voices.values() if new.chorus else ():
        low, high = voice.limits.lowest, voice.limits.highest
        clef = "treble clef with an 8 below" if voice.clef == "treble-8" else f"{voice.clef} clef"
        octave = "of men" if voice.octave < 0 else "of women and children"
        print(
            f"  {voice.label}: {low} to {high}, {clef}, sings unison in the octave {octave}",
            file=sys.stderr,
        )
