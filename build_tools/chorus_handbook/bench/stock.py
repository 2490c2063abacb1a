"""A stock of any size for the benchmarks, made from a project: its exercises with notation, each
widened to thirteen keys, and copies of them under other names until there are enough.

Ranges are widened so far that every voice can sing every key; without that, few exercises could go
through so many. Exercises without notation stay as they are, besides.
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
#: What opens notation that stands in an exercise's own file.
FENCE = "```degrees\n"
_FIELD = r"(?m)^{}:.*$"
_KEYS = re.compile(_FIELD.format("keys"))
_TITLE = re.compile(r"(?m)^title: *(.*)$")
#: What may stand in one exercise only, or holds of the keys as they were.
_ONCE = re.compile(r"(?m)^(?:also_called|cue|step_out):.*\n")
_LIMITS = re.compile(r"((?:limits|widest): *)[A-G]\S* to [A-G][#b]?\d")


def make_stock(project: Project, folder: Path, exercises: int) -> None:
    """A project in `folder` with so many exercises that have notation, or as many as there are."""
    shutil.copytree(project.root, folder / "handbook")
    shutil.copy(project.config_file, folder / "mkdocs.yml")
    chorus = folder / "handbook" / "chorus.yml"
    chorus.write_text(_LIMITS.sub(r"\1C1 to C8", chorus.read_text("utf-8")), "utf-8")
    place = folder / "handbook" / "exercises"
    texts = {path.stem: path.read_text("utf-8") for path in sorted(place.glob("*.md"))}
    notated = [slug for slug, text in texts.items() if _KEYS.search(text)]
    for number, slug in enumerate(islice(cycle(notated), max(exercises, len(notated)))):
        copy = number // len(notated)
        name = f"{slug}-{copy + 1}" if copy else slug
        (place / f"{name}.md").write_text(_widened(texts[slug], copy), "utf-8")


def notated(folder: Path) -> list[Path]:
    """The exercises of a stock that have notation in their own file."""
    files = sorted((folder / "handbook" / "exercises").glob("*.md"))
    return [file for file in files if FENCE in file.read_text("utf-8")]


def _widened(text: str, copy: int) -> str:
    text = _ONCE.sub("", text)
    text = _KEYS.sub(lambda found: f"{_thirteen(found[0])}\nstep_out: allowed", text, count=1)
    if copy:
        text = _TITLE.sub(lambda found: f"title: {found[1]}, copy {copy}", text, count=1)
    return text


def _thirteen(field: str) -> str:
    """An octave of keys, upward from the lowest that the field names."""
    path = KeyPath.parse(field.partition(":")[2])
    lowest = min(path.start, path.turn, key=lambda tonic: tonic.midi)
    return f"keys: {lowest} up to {named(lowest.midi + KEYS - 1, sharp=lowest.alter > 0)}"
