"""`python -m chorus_handbook.bench [DIR]`: every ratio of the project in DIR, in one run."""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path

from chorus_handbook import pipeline
from chorus_handbook.bench.floors import plain_project, raw_engraver
from chorus_handbook.bench.processes import Cost, median, run
from chorus_handbook.bench.reload import free_port, seconds_to_reload, served
from chorus_handbook.bench.renders import renders
from chorus_handbook.commands.project import Project

_BUILD = ["-m", "chorus_handbook.bench.command", "build"]
_CHECK = ["-m", "chorus_handbook.bench.command", "check"]
_SERVE = ["-m", "chorus_handbook.bench.command", "serve", "--address"]
_HEADING = "## How to run it"


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m chorus_handbook.bench", description=__doc__)
    parser.add_argument("project", nargs="?", type=Path, default=Path())
    parser.add_argument("--times", type=int, default=5, help="runs of each kind (default 5)")
    options = parser.parse_args()
    project = Project(options.project)
    config = project.config_file.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as place:
        ours, plain = Path(place) / "ours", Path(place) / "plain"
        shutil.copytree(project.root, ours / "handbook")
        (ours / "mkdocs.yml").write_text(config, encoding="utf-8")
        plain.mkdir()
        book = pipeline.run(ours / "handbook")
        plain_project(book, config, plain)
        asked = renders(book)
        engraver = raw_engraver(asked, Path(place))
        _report_builds(ours, plain, engraver, len(asked), options.times)
        _report_reload(ours, plain, options.times)


def _report_builds(ours: Path, plain: Path, engraver: list[str], asked: int, times: int) -> None:
    def cold() -> Cost:
        shutil.rmtree(ours / ".cache", ignore_errors=True)
        return run(_BUILD, ours)

    mkdocs = median(lambda: run(["-m", "mkdocs", "build", "--quiet"], plain), times)
    raw = median(lambda: run(engraver, plain), times)
    floors = Cost(mkdocs.cpu + raw.cpu, mkdocs.wall + raw.wall)
    print(f"{asked} renders; medians of {times}; ratios of CPU time, and of wall-clock time")
    _print("cold build / (plain MkDocs + raw engraver)", median(cold, times), floors)
    _print("warm build / plain MkDocs", median(lambda: run(_BUILD, ours), times), mkdocs)
    _print("check alone / plain MkDocs", median(lambda: run(_CHECK, ours), times), mkdocs)


def _report_reload(ours: Path, plain: Path, times: int) -> None:
    exercise = next(
        path
        for path in sorted((ours / "handbook" / "exercises").glob("*.md"))
        if _HEADING in path.read_text(encoding="utf-8")
    )
    name = exercise.name
    page = f"exercises/{exercise.stem}/"
    seconds = []
    for folder, arguments in ((ours, _SERVE), (plain, ["-m", "mkdocs", "serve", "--dev-addr"])):
        port = free_port()
        with served([*arguments, f"127.0.0.1:{port}"], folder, port, page) as url:
            source = folder / "handbook" / "exercises" / name
            seconds.append(seconds_to_reload(url, source, _HEADING, times))
    _print("edit to reload / plain mkdocs serve", Cost(0, seconds[0]), Cost(0, seconds[1]))


def _print(what: str, cost: Cost, floor: Cost) -> None:
    cpu = f"{cost.cpu / floor.cpu:5.2f}" if floor.cpu else "     "
    print(f"{what:45} {cpu} {cost.wall / floor.wall:5.2f}", flush=True)


if __name__ == "__main__":
    main()
