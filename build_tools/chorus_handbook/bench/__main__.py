"""`python -m chorus_handbook.bench [DIR]`: every ratio of the project in DIR, in one run.

A copy of the project with `--exercises` exercises is built (`bench/stock.py` makes it). With only a
few exercises the ratios mean little, because the floors then consist mostly of start-up time.
"""

from __future__ import annotations

import argparse
import contextlib
import tempfile
from collections.abc import Sequence
from pathlib import Path

from chorus_handbook.bench.builds import report_builds
from chorus_handbook.bench.growth import report_growth
from chorus_handbook.bench.reload import report_reload
from chorus_handbook.bench.report import Report
from chorus_handbook.bench.suggesting import report_suggesting
from chorus_handbook.commands.project import Project


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the benchmark with these command-line arguments, by default those of this process."""
    parser = argparse.ArgumentParser(prog="python -m chorus_handbook.bench", description=__doc__)
    parser.add_argument("project", nargs="?", type=Path, default=Path())
    parser.add_argument(
        "--times", type=int, default=3, help="how often each build is measured (default 3)"
    )
    parser.add_argument(
        "--exercises",
        type=int,
        default=50,
        help="how many exercises with notation are built (default 50)",
    )
    parser.add_argument(
        "--reload", action="store_true", help="measure as well how soon a saved edit is in the page"
    )
    parser.add_argument(
        "--growth",
        type=int,
        nargs="*",
        metavar="EXERCISES",
        help="measure instead how builds grow (default 50 500 2000; the last takes an hour)",
    )
    parser.add_argument(
        "--write", type=Path, metavar="FILE", help="write the report here as well, as Markdown"
    )
    options = parser.parse_args(arguments)
    report = Report()
    with contextlib.redirect_stdout(report):
        _measure(options)
    if options.write:
        options.write.write_text(report.as_markdown(), encoding="utf-8")


def _measure(options: argparse.Namespace) -> None:
    project = Project(options.project)
    with tempfile.TemporaryDirectory() as place:
        if options.growth is not None:
            report_growth(project, Path(place), options.growth or [50, 500, 2000])
            return
        report_builds(project, Path(place), options.exercises, options.times)
        report_suggesting(project)
        if options.reload:
            report_reload(Path(place), options.times)


if __name__ == "__main__":
    main()
