"""Measures builds against their floors: from nothing, with nothing changed, and with one exercise
edited.
"""

from __future__ import annotations

import compileall
import re
import shutil
from collections.abc import Callable, Iterator
from functools import partial
from hashlib import sha256
from itertools import count
from pathlib import Path

from chorus_handbook import pipeline
from chorus_handbook.bench.floors import plain_project, raw_engraver
from chorus_handbook.bench.narrowing import report_narrowing
from chorus_handbook.bench.processes import Cost, medians, run
from chorus_handbook.bench.renders import Render, renders
from chorus_handbook.bench.searching import report_searching
from chorus_handbook.bench.sizes import sizes
from chorus_handbook.bench.stock import FENCE, KEYS, make_stock, notated
from chorus_handbook.cache import Cache
from chorus_handbook.commands.project import Project
from chorus_handbook.dependencies import PACKAGE
from chorus_handbook.process_pool import PROCESSES

#: The environment variable that names the folder of the user's caches.
CACHE_VARIABLE = "XDG_CACHE_HOME"
#: Arguments of Python for a build by our command, a check, and a build by MkDocs alone.
BUILD = ["-m", "chorus_handbook.bench.command", "build"]
_CHECK = ["-m", "chorus_handbook.bench.command", "check"]
MKDOCS = ["-m", "mkdocs", "build", "--quiet"]
#: The heading below which text is inserted to edit an exercise.
HEADING = "## How to run it"
UNCHANGED = "nothing changed / plain MkDocs"
MKDOCS_AGAIN = "the same by mkdocs build / plain MkDocs"
NOTES = "notes of one exercise edited / plain MkDocs"
TEXT = "text of one exercise edited / plain MkDocs"
#: The largest ratios that are our goals, for a handbook of fifty exercises.
UNCHANGED_GOALS = {UNCHANGED: "CPU 0.20", MKDOCS_AGAIN: "CPU 0.80", NOTES: "CPU 1.00"}

_DYNAMICS = ("pp", "p", "mp", "mf", "f", "ff")
#: A line of music that begins with a note from 1 to 7, such as "soprano: 1 2 3", up to that note,
#: before which a dynamic can be inserted. Lines such as "meter: 3/4" are not music.
_FIRST_LINE = re.compile(r"(?m)^((?!words|meter|pickup|octave)[a-z+]+:) +(?=[1-7])")
_GOALS = {
    "cold build, one process / floors": "CPU 1.45",
    "cold build, two processes / floors": "wall 0.90 on two cores",
    **UNCHANGED_GOALS,
}


def prepare(project: Project, place: Path, exercises: int) -> tuple[Path, Path]:
    """Make a handbook project in `place`, and beside it a plain MkDocs project with the same pages.
    Returns both folders. Also compile the program's modules, as an installer would."""
    compileall.compile_dir(PACKAGE, quiet=2)
    ours, plain = place / "ours", place / "plain"
    ours.mkdir()
    plain.mkdir()
    make_stock(project, ours, exercises)
    cache = Cache(place / "drawn")
    book = pipeline.draw(pipeline.read(ours / "handbook", cache), cache)
    plain_project(book, (ours / "mkdocs.yml").read_text(encoding="utf-8"), plain)
    return ours, plain


def build(ours: Path, processes: int, cold: bool = False) -> Cost:
    """Build the project in the folder `ours` with this number of processes, and measure that. It
    has caches of its own, so that the user's are not touched; with `cold`, they are emptied before
    the build."""
    user_cache = ours.parent / "user-cache"
    if cold:
        shutil.rmtree(ours / ".cache", ignore_errors=True)
        shutil.rmtree(user_cache, ignore_errors=True)
    return run(BUILD, ours, {PROCESSES: str(processes), CACHE_VARIABLE: str(user_cache)})


def mkdocs_again(ours: Path) -> Cost:
    """Build the project `ours` again with MkDocs's own command, which, unlike ours, deletes the
    built site first and writes every page anew."""
    arguments = [*MKDOCS, "--site-dir", str(ours / "site-of-mkdocs")]
    return run(arguments, ours, {CACHE_VARIABLE: str(ours.parent / "user-cache")})


def report_builds(project: Project, place: Path, exercises: int, times: int) -> None:
    """Print all ratios of times and of sizes, and whether two builds give the same files."""
    ours, plain = prepare(project, place, exercises)
    drawn = renders(ours / "handbook")
    shown = sum(render.shown for render in drawn)
    print(
        f"{exercises} exercises with notation, {KEYS} keys each, ranges widened to allow them; "
        f"{len(drawn)} renders, {shown} of them shown; medians of {times}"
    )
    _report_costs(ours, plain, place, drawn, times)
    first = _digest(ours / "site")
    build(ours, processes=2, cold=True)
    print("two cold builds byte-equal:", "yes" if _digest(ours / "site") == first else "NO")
    measured = sizes(ours / "site", drawn)
    print(f"page with {KEYS} keys / with raw drawings, bytes   {measured.page:.3f}  (goal 0.2)")
    print(f"scores and signs alone / raw drawings, bytes   {measured.scores:.3f}")
    print(f"gzipped bytes a drawing, within its page       {measured.packed:.0f}  (goal 1440)")
    print(f"gzipped bytes a drawing, each for itself       {measured.alone:.0f}")
    report_narrowing(ours / "site")
    report_searching(ours / "site")


def _report_costs(ours: Path, plain: Path, place: Path, drawn: list[Render], times: int) -> None:
    """Print the ratios of times and the use of memory. `ours` and `plain` are the folders of the
    two projects, `drawn` is what our build has the engraver draw."""
    engraver = raw_engraver(drawn, place)
    edited = editable_exercise(ours)
    costs = medians(
        {
            "mkdocs": partial(run, MKDOCS, plain),
            "engraver": partial(run, engraver, plain),
            "cold 1": partial(build, ours, processes=1, cold=True),
            "cold 2": partial(build, ours, processes=2, cold=True),
            "unchanged": partial(build, ours, processes=2),
            "mkdocs again": partial(mkdocs_again, ours),
            "check": partial(run, _CHECK, ours),
            "prose": partial(build_after_change, ours, edited, other_text, count(1)),
            "notes": partial(build_after_change, ours, edited, other_notes, count(1)),
        },
        times,
    )
    mkdocs, floors = costs["mkdocs"], costs["mkdocs"] + costs["engraver"]
    print(f"{'ratios of':48} CPU  wall")
    for label, name, floor in (
        ("cold build, one process / floors", "cold 1", floors),
        ("cold build, two processes / floors", "cold 2", floors),
        (UNCHANGED, "unchanged", mkdocs),
        (MKDOCS_AGAIN, "mkdocs again", mkdocs),
        (NOTES, "notes", mkdocs),
        (TEXT, "prose", mkdocs),
        ("check alone / plain MkDocs", "check", mkdocs),
    ):
        print_ratio(label, costs[name], floor, _GOALS.get(label, ""))
    print(f"plain MkDocs is {mkdocs.cpu / floors.cpu:.2f} of the floors' CPU time")
    most = {name: cost.memory / 1e6 for name, cost in costs.items()}
    print(
        f"memory of one process at most, MB: {most['cold 2']:.0f} in a cold build, "
        f"{most['unchanged']:.0f} where nothing changed, {most['mkdocs']:.0f} in plain MkDocs"
    )


def editable_exercise(ours: Path) -> Path:
    """The file of an exercise that `other_notes` can edit: a line of its notation begins with a
    note."""
    return next(
        file
        for file in notated(ours)
        if _FIRST_LINE.search(file.read_text("utf-8").partition(FENCE)[2])
    )


def print_ratio(label: str, cost: Cost, floor: Cost, goal: str = "") -> None:
    """Print one line of the report: a cost divided by its floor (the least that the same result
    must cost), and the goal for that ratio."""
    cpu = f"{cost.cpu / floor.cpu:.2f}" if floor.cpu else ""
    note = f"  (goal: {goal})" if goal else ""
    print(f"{label:45} {cpu:>6} {cost.wall / floor.wall:5.2f}{note}", flush=True)


def build_after_change(
    ours: Path, file: Path, edit: Callable[[str, int], str], numbers: Iterator[int]
) -> Cost:
    """Change one exercise by `edit`, and measure a build. Afterwards restore the exercise and build
    again, so that the next measurement starts from the same site.

    `edit` takes the text of the file and the next of `numbers`, and returns the changed text. It
    must differ for every number, so that no cache has the result already."""
    original = file.read_text(encoding="utf-8")
    file.write_text(edit(original, next(numbers)), encoding="utf-8")
    cost = build(ours, processes=2)
    file.write_text(original, encoding="utf-8")
    build(ours, processes=2)
    return cost


def other_text(text: str, number: int) -> str:
    """Insert a paragraph that contains `number` below the heading "How to run it"."""
    return text.replace(HEADING, f"{HEADING}\n\nEdited {number} times.\n", 1)


def other_notes(text: str, number: int) -> str:
    """Insert a dynamic before the first note, so that the exercise must be drawn again in every
    key. Which dynamic depends on `number`."""
    sign = _DYNAMICS[number % len(_DYNAMICS)]
    head, fence, notation = text.partition(FENCE)
    return head + fence + _FIRST_LINE.sub(lambda found: f"{found[1]} {sign} ", notation, count=1)


def _digest(site: Path) -> str:
    """A digest of the names and contents of all files of a site."""
    digest = sha256()
    for path in sorted(path for path in site.rglob("*") if path.is_file()):
        digest.update(f"{path.relative_to(site)}\n".encode() + path.read_bytes())
    return digest.hexdigest()
