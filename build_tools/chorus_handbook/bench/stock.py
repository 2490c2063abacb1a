"""Makes a handbook of any size for benchmarks, from the exercises of a project.

It has the project's exercises with notes, each in thirteen keys, and if they are too few, copies
of them under other names. The voices' ranges are widened so that every voice can sing every key.
Exercises without notes are copied too, but not counted. If fewer exercises are requested than the
project has, everything that may refer to the others is left out: pages, lists and references.
"""

from __future__ import annotations

import re
import shutil
from itertools import cycle, islice
from pathlib import Path

from chorus_handbook.commands.project import Project
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.pitch import named

#: A whole octave of semitones, both ends included.
KEYS = 13
#: The line with which notation begins in an exercise's own file.
FENCE = "```degrees\n"
_FIELD = r"(?m)^{}:.*$"
_KEYS = re.compile(_FIELD.format("keys"))
_TITLE = re.compile(r"(?m)^title: *(.*)$")
#: Fields that must differ between exercises, or that are true only for the keys of the original.
_ONCE = re.compile(r"(?m)^(?:also_called|cue|known|step_out):.*\n")
#: Fields that name other exercises.
_REFERENCES = re.compile(r"(?m)^(?:related|leads_to):.*\n")
#: Files and folders of a handbook that exercises need and that refer to none. All others may refer
#: to exercises.
_SHARED = {"chorus.yml", "vocabulary.yml", "scores", "sounds"}
#: The vocabulary's everyday words, which lead to exercises and lists.
_WORDS = re.compile(r"(?m)^words:\n(?:[ #].*\n|\n)*")
#: The ranges of a voice in chorus.yml.
_LIMITS = re.compile(r"((?:limits|widest): *)[A-G]\S* to [A-G][#b]?\d")


def make_stock(project: Project, folder: Path, exercises: int) -> None:
    """Write a project with `exercises` exercises that have notation into `folder`. Raises
    ValueError if `project` has no exercise with notation."""
    texts = {path.stem: path.read_text("utf-8") for path in project.root.glob("exercises/*.md")}
    with_notation = sorted(slug for slug, text in texts.items() if _KEYS.search(text))
    if not with_notation:
        raise ValueError(f"no exercise in {project.root} has notation")
    partial = exercises < len(with_notation)
    shutil.copy(project.config_file, folder / "mkdocs.yml")
    shutil.copytree(project.root, folder / "handbook", ignore=_others if partial else None)
    chorus = folder / "handbook" / "chorus.yml"
    chorus.write_text(_LIMITS.sub(r"\1C1 to C8", chorus.read_text("utf-8")), "utf-8")
    vocabulary = folder / "handbook" / "vocabulary.yml"
    if partial:
        vocabulary.write_text(_WORDS.sub("", vocabulary.read_text("utf-8")), "utf-8")
    target = folder / "handbook" / "exercises"
    target.mkdir(exist_ok=True)
    for number, slug in enumerate(islice(cycle(with_notation), exercises)):
        copy = number // len(with_notation)
        name = f"{slug}-{copy + 1}" if copy else slug
        text = _REFERENCES.sub("", texts[slug]) if partial else texts[slug]
        (target / f"{name}.md").write_text(_widened(text, copy), "utf-8")


def _others(_folder: str, names: list[str]) -> set[str]:
    """The names of files and folders to leave out when the stock has only some of the exercises,
    because they may refer to the others. For `shutil.copytree`."""
    return {*names} - _SHARED if "chorus.yml" in names else set()


def notated(folder: Path) -> list[Path]:
    """The exercises of a stock whose notation is written in `degrees` in their own file."""
    files = sorted((folder / "handbook" / "exercises").glob("*.md"))
    return [file for file in files if FENCE in file.read_text("utf-8")]


def _widened(text: str, copy: int) -> str:
    """The text of an exercise in thirteen keys. `copy` is 0 for the exercise itself, and the number
    of the copy for others, which get a title of their own."""
    text = _ONCE.sub("", text)
    text = _KEYS.sub(
        lambda found: f"{_an_octave_of_keys(found[0])}\nstep_out: allowed", text, count=1
    )
    if copy:
        text = _TITLE.sub(lambda found: f"title: {found[1]}, copy {copy}", text, count=1)
    return text


def _an_octave_of_keys(field: str) -> str:
    """The line `keys` for an octave of keys, upward from the lowest key in the line `field`."""
    path = KeyPath.parse(field.partition(":")[2])
    lowest = min(path.start, path.turn, key=lambda tonic: tonic.midi)
    return f"keys: {lowest} up to {named(lowest.midi + KEYS - 1, sharp=lowest.alter > 0)}"
