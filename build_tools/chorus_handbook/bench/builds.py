"""Measures builds against their floors: from nothing, with nothing changed, and with one exercise
edited.
"""

from __future__ import annotations

import compileall
import re
import shutil
from collections.abc import Callable
from functools import partial
from hashlib import sha256
from itertools import count
from pathlib import Path

from chorus_handbook import pipeline
from chorus_handbook.bench.floors import plain_project, raw_engraver
from chorus_handbook.bench.processes import Cost, medians, run
from chorus_handbook.bench.renders import Render, renders
from chorus_handbook.bench.sizes import sizes
from chorus_handbook.bench.stock import FENCE, KEYS, make_stock, notated
from chorus_handbook.cache import Cache
from chorus_handbook.commands.project import Project
from chorus_handbook.dependencies import PACKAGE
from chorus_handbook.process_pool import PROCESSES

#: The environment variable that names the user's cache folder.
STORES = "XDG_CACHE_HOME"
BUILD = ["-m", "chorus_handbook.bench.command", "build"]
_CHECK = ["-m", "chorus_handbook.bench.command", "check"]
MKDOCS = ["-m", "mkdocs", "build", "--quiet"]
HEADING = "## How to run it"
UNCHANGED = "nothing changed / plain MkDocs"
MKDOCS_AGAIN = "the same by mkdocs build / plain MkDocs"
NOTES = "notes of one exercise edited / plain MkDocs"
TEXT = "text of one exercise edited / plain MkDocs"
#: Goals for a stock of fifty exercises.
UNCHANGED_GOALS = {UNCHANGED: "CPU 0.20", MKDOCS_AGAIN: "CPU 0.80", NOTES: "CPU 1.00"}

_DYNAMICS = ("pp", "p", "mp", "mf", "f", "ff")
#: The first line of notation that begins with a note, before which a dynamic can be inserted.
_FIRST_LINE = re.compile(r"(?m)^((?!words|meter|pickup|octave)[a-z+]+:) +(?=[1-7])")
_GOALS = {
    "cold build, one process / floors": "CPU 1.45",
    "cold build, two processes / floors": "wall 0.90 on two cores",
    **UNCHANGED_GOALS,
}


def prepare(project: Project, place: Path, exercises: int) -> tuple[Path, Path]:
    """Make a stock in `place`, and beside it a plain MkDocs project with the same pages. Also
    compile the program's modules, as an installer would."""
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
    """Build the stock with caches of its own, not those of the user. If `cold`, they are empty."""
    stores = ours.parent / "user-cache"
    if cold:
        shutil.rmtree(ours / ".cache", ignore_errors=True)
        shutil.rmtree(stores, ignore_errors=True)
    return run(BUILD, ours, {PROCESSES: str(processes), STORES: str(stores)})


def mkdocs_again(ours: Path) -> Cost:
    """Build the stock with MkDocs's own command, which empties the site first and uses nothing of
    an old one."""
    stores = ours.parent / "user-cache"
    return run([*MKDOCS, "--site-dir", str(ours / "site-of-mkdocs")], ours, {STORES: str(stores)})


def report_builds(project: Project, place: Path, exercises: int, times: int) -> None:
    """Print all ratios of times and of sizes, and whether two builds give the same files."""
    ours, plain = prepare(project, place, exercises)
    asked = renders(ours / "handbook")
    shown = sum(render.shown for render in asked)
    print(
        f"{exercises} exercises with notation, {KEYS} keys each, ranges widened to allow them; "
        f"{len(asked)} renders, {shown} of them shown; medians of {times}"
    )
    _report_costs(ours, plain, place, asked, times)
    first = _digest(ours / "site")
    build(ours, 2, cold=True)
    print("two cold builds byte-equal:", "yes" if _digest(ours / "site") == first else "NO")
    measured = sizes(ours / "site", asked)
    print(f"page with {KEYS} keys / with raw drawings, bytes   {measured.page:.3f}  (goal 0.2)")
    print(f"scores and signs alone / raw drawings, bytes   {measured.scores:.3f}")
    print(f"gzipped bytes a drawing, within its page       {measured.packed:.0f}  (goal 1440)")
    print(f"gzipped bytes a drawing, each for itself       {measured.alone:.0f}")


def _report_costs(ours: Path, plain: Path, place: Path, asked: list[Render], times: int) -> None:
    engraver = raw_engraver(asked, place)
    edited = editable(ours)
    costs = medians(
        {
            "mkdocs": partial(run, MKDOCS, plain),
            "engraver": partial(run, engraver, plain),
            "cold 1": partial(build, ours, 1, True),
            "cold 2": partial(build, ours, 2, True),
            "unchanged": partial(build, ours, 2),
            "mkdocs again": partial(mkdocs_again, ours),
            "check": partial(run, _CHECK, ours),
            "prose": after(ours, edited, other_text),
            "notes": after(ours, edited, other_notes),
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


def editable(ours: Path) -> Path:
    """The file of an exercise with a line of notation that begins with a note."""
    return next(
        file
        for file in notated(ours)
        if _FIRST_LINE.search(file.read_text("utf-8").partition(FENCE)[2])
    )


def print_ratio(label: str, cost: Cost, floor: Cost, goal: str = "") -> None:
    """Print one line of the report: a cost divided by its floor, and the goal for that ratio."""
    cpu = f"{cost.cpu / floor.cpu:.2f}" if floor.cpu else ""
    note = f"  (goal: {goal})" if goal else ""
    print(f"{label:45} {cpu:>6} {cost.wall / floor.wall:5.2f}{note}", flush=True)


def after(ours: Path, file: Path, edit: Callable[[str, int], str]) -> Callable[[], Cost]:
    """A function that measures a build after `edit` has changed one exercise. Afterwards it
    restores the exercise and builds again, so that the next measurement starts from the same site.
    """
    original, edits = file.read_text(encoding="utf-8"), count(1)

    def measure() -> Cost:
        file.write_text(edit(original, next(edits)), encoding="utf-8")
        cost = build(ours, 2)
        file.write_text(original, encoding="utf-8")
        build(ours, 2)
        return cost

    return measure


def other_text(text: str, number: int) -> str:
    return text.replace(HEADING, f"{HEADING}\n\nEdited {number} times.\n", 1)


def other_notes(text: str, number: int) -> str:
    """Insert a dynamic at the beginning of the first voice, another for each `number`, so that all
    keys must be drawn again."""
    sign = _DYNAMICS[number % len(_DYNAMICS)]
    head, fence, notation = text.partition(FENCE)
    return head + fence + _FIRST_LINE.sub(lambda found: f"{found[1]} {sign} ", notation, count=1)


def _digest(site: Path) -> str:
    digest = sha256()
    for path in sorted(path for path in site.rglob("*") if path.is_file()):
        digest.update(f"{path.relative_to(site)}\n".encode() + path.read_bytes())
    return digest.hexdigest()
