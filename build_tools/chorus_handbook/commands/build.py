"""`handbook build`: check, draw, and publish in one go or not at all.

The site is built beside the old one and the folders are exchanged when everything has worked.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from chorus_handbook import report
from chorus_handbook.commands.exchange import exchange
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.finished import Finished, finish

SUMMARY = "Build the site, and leave the published one as it was if anything is wrong"

_SAID = {
    "setting": "Reading the chorus and the vocabulary",
    "entries": "Reading the exercises",
    "music": "Measuring",
    "claims": "Checking",
    "engraved": "Engraving in every key",
    "sound": "Making sound",
    "tracks": "Making practice tracks",
    "site": "Writing the pages",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--strict", action="store_true", help="refuse notices too")
    parser.add_argument(
        "--site-dir", type=Path, metavar="DIR", help="where the site goes (default: as mkdocs.yml)"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    from chorus_handbook.mkdocs_plugin.run import SiteNotBuiltError, build_site, wishes

    config_file = project.config_file
    try:
        wished = wishes(config_file)
        for doubt in wished.doubts:
            print(f"{config_file.name}: {doubt}", file=sys.stderr)
        target = (options.site_dir or wished.folder).resolve()
        _refuse_unsafe(target, project)
        book = finish(
            project.root,
            project.cache,
            strict=options.strict,
            with_tracks=wished.tracks,
            tell=lambda stage: _progress(stage, wished.tracks),
        )
        if book.problems:
            print(report.as_text(book.problems))
            print(report.summary(book.problems), file=sys.stderr)
        if _refused(book, options):
            print("Nothing was built; the old site, if any, is as it was.", file=sys.stderr)
            return 1
        _say("Building the site")
        with _beside(target) as beside:
            build_site(config_file, beside, book, strict=options.strict)
            exchange(beside, target)
    except SiteNotBuiltError as failure:
        print(f"handbook build: {failure}", file=sys.stderr)
        return 1
    except OSError as failure:
        print(f"handbook build: {failure.filename}: {failure.strerror}", file=sys.stderr)
        return 1
    print(f"The handbook lies in {target}. Read it with `handbook serve`.", file=sys.stderr)
    return 0


def _refused(book: Finished, options: argparse.Namespace) -> bool:
    return book.broken or (options.strict and bool(book.problems))


def _progress(stage: str, with_tracks: bool) -> None:
    if stage in _SAID and (with_tracks or stage != "tracks"):
        _say(_SAID[stage])


def _say(text: str) -> None:
    print(f"{text} ...", file=sys.stderr, flush=True)


@contextmanager
def _beside(target: Path) -> Iterator[Path]:
    """A fresh folder next to the target, on the same disk, gone afterwards."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=f".{target.name}-", dir=target.parent) as holder:
        folder = Path(holder) / target.name
        folder.mkdir()
        yield folder


def _refuse_unsafe(target: Path, project: Project) -> None:
    """The target is replaced as a whole: it must not be, or hold, anything that is not a site."""
    sources = (project.root, project.config_file)
    if any(source.is_relative_to(target) for source in sources):
        raise WrongUsageError(f"{target} holds the handbook itself; choose another --site-dir")
    if target.is_relative_to(project.root):
        raise WrongUsageError(f"{target} lies inside the handbook; choose another --site-dir")
    if target.exists() and not target.is_dir():
        raise WrongUsageError(f"{target} is a file; --site-dir must name a folder")
    if target.is_dir() and any(target.iterdir()) and not (target / "sitemap.xml").exists():
        raise WrongUsageError(
            f"{target} holds files that are no site; choose an empty or new --site-dir"
        )
