"""`handbook build`: check, draw, and publish in one go or not at all.

The site is built beside the old one and the folders are exchanged when everything has worked.
What no build wrote is carried over or stops the build before it has changed anything.
"""

from __future__ import annotations

import argparse
import os
import shlex
import sys
from pathlib import Path

from chorus_handbook import pipeline, report
from chorus_handbook.cache import Cache
from chorus_handbook.commands.old_site import (
    Foreign,
    InNewSite,
    Why,
    find_foreign,
    read_old_site,
    refuse_place,
    remember,
    same_content,
)
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.staging import alone, check_place, clear_left_behind, staging
from chorus_handbook.records.manifest import read_manifest

SUMMARY = "Build the site, and leave the published one as it was if anything is wrong"

_PROGRESS = {
    "records": "Reading, measuring and checking",
    "drawings": "Engraving in every key",
    "sound": "Making sound",
    "tracks": "Making practice tracks",
    "pages": "Writing the pages",
}

#: So many files are named; more are only counted.
_MOST_NAMED = 10


class WouldLoseError(Exception):
    """The old site holds what no build wrote, and what the new one would not have."""

    def __init__(self, foreign: list[Foreign]) -> None:
        super().__init__()
        self.foreign = foreign


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--strict", action="store_true", help="refuse notices too")
    parser.add_argument(
        "--site-dir", type=Path, metavar="DIR", help="where the site goes (default: as mkdocs.yml)"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    from chorus_handbook.mkdocs_plugin.run import SiteNotBuiltError, build_site, wishes

    config_file, cache = project.config_file, project.cache
    try:
        wished = wishes(config_file)
        for doubt in wished.doubts:
            print(f"{config_file.name}: {doubt}", file=sys.stderr)
        target = _target(options.site_dir or wished.folder)
        refuse_place(target, project)
        check_place(target)
        _report_leftovers(clear_left_behind(target), target)
        _refuse_loss(target, cache, _in_handbook(project.root))
        book = pipeline.build(
            project.root,
            cache,
            strict=options.strict,
            with_tracks=wished.tracks,
            tell=lambda stage: _progress(stage, wished.tracks),
        )
        if book.problems:
            print(report.as_text(book.problems))
            print(report.summary(book.problems), file=sys.stderr)
        if _refused(book, options):
            return _failed()
        _say("Building the site")
        with staging(target) as stage:
            build_site(config_file, stage.new, book, strict=options.strict)
            with alone(target.parent):
                _refuse_loss(target, cache, _in_site(stage.new))
                stage.publish()
                _report_leftovers(stage.clear(), target)
        remember(target, cache)
    except WouldLoseError as refusal:
        return _failed(_would_lose(refusal.foreign, target, project.root))
    except SiteNotBuiltError as failure:
        return _failed(f"handbook build: {failure}")
    except OSError as failure:
        return _failed(f"handbook build: {_reason(failure)}")
    print(_where_to_read(target), file=sys.stderr)
    return 0


def _failed(why: str = "") -> int:
    """Say why nothing was published; the exit code."""
    for line in filter(None, (why, "Nothing was published; the old site, if any, is as it was.")):
        print(line, file=sys.stderr)
    return 1


def _refused(book: pipeline.Handbook, options: argparse.Namespace) -> bool:
    return book.broken or (options.strict and bool(book.problems))


def _progress(stage: str, with_tracks: bool) -> None:
    if stage in _PROGRESS and (with_tracks or stage != "tracks"):
        _say(_PROGRESS[stage])


def _say(text: str) -> None:
    print(f"{text} ...", file=sys.stderr, flush=True)


def _target(named: Path) -> Path:
    """The folder of the site; a link to it stays a link. Raises WrongUsageError."""
    if named.is_symlink() and not named.exists():
        raise WrongUsageError(
            f"{named} is a link that leads nowhere; name another folder: --site-dir DIR"
        )
    return named.resolve()


def _refuse_loss(target: Path, cache: Cache, in_new: InNewSite) -> None:
    """Refuse to replace what no build wrote. Raises WouldLoseError, WrongUsageError, OSError."""
    listed = read_old_site(target, cache)
    foreign = find_foreign(target, listed, in_new) if listed is not None else []
    if foreign:
        raise WouldLoseError(foreign)


def _in_handbook(root: Path) -> InNewSite:
    """What the new site will have as it is, known before it is built."""
    from chorus_handbook.entries import static_files
    from chorus_handbook.entries.file_places import PUBLISHED

    def in_new(path: str, file: Path) -> bool | None:
        places = [root / static_files.FOLDER / path]
        if file.suffix.lower() in PUBLISHED:
            places.append(root / path)
        there = [place for place in places if place.is_file()]
        return any(same_content(file, place) for place in there) if there else None

    return in_new


def _in_site(site: Path) -> InNewSite:
    """What the new site has."""
    listed = read_manifest(site)

    def in_new(path: str, file: Path) -> bool | None:
        if listed is None or path not in listed.files:
            return None
        return same_content(file, site / path)

    return in_new


def _would_lose(foreign: list[Foreign], target: Path, root: Path) -> str:
    """What would be lost, and for each what to do."""
    lines = [
        f"handbook build: {target} holds what no build wrote, and a new site would replace it:"
    ]
    for one in foreign[:_MOST_NAMED]:
        shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in one.path)
        lines += [f"  {shown}{_WHY[one.why]}", f"    {_remedy(one, shown, root)}"]
    if len(foreign) > _MOST_NAMED:
        lines.append(f"  and {len(foreign) - _MOST_NAMED} more")
    return "\n".join(lines)


_WHY: dict[Why, str] = {
    "unlisted": "",
    "changed": " (changed since it was built)",
    "differs": " (not the same as in the new site)",
    "mount": " (another disk)",
}


def _remedy(foreign: Foreign, shown: str, root: Path) -> str:
    from chorus_handbook.entries.file_places import PUBLISHED
    from chorus_handbook.entries.static_files import FOLDER, belongs_in_static

    static = f"{root.name}/{FOLDER}"
    if foreign.why == "changed":
        return "Make the change in the handbook, then delete this file: the build writes it again."
    if foreign.why == "differs":
        return f"Keep one of the two: delete this file, or the one in {static}/."
    if foreign.why == "mount":
        return "Detach it (unmount), or name another folder: --site-dir DIR."
    if belongs_in_static(foreign.path):
        return f"Move it to {static}/: every build then puts it into the site."
    if Path(foreign.path).suffix.lower() in PUBLISHED:
        return f"Move it to {root.name}/{shown}: every build then puts it into the site."
    return "Move it to a place outside the site."


def _report_leftovers(left: list[Path], target: Path) -> None:
    """What no build could put in order by itself."""
    if left:
        print(
            "A build left this beside the site, because something else has its place in "
            f"{target}, or the system would not let it be moved or deleted. Move what you need "
            "from here, and delete the rest:",
            *(f"  {path}" for path in left[:_MOST_NAMED]),
            sep="\n",
            file=sys.stderr,
        )


def _reason(failure: OSError) -> str:
    """What the system refused, and where."""
    why = failure.strerror or str(failure) or type(failure).__name__
    return f"{failure.filename}: {why}" if failure.filename else why


def _where_to_read(target: Path) -> str:
    """The last line. `handbook serve` does not show this folder: it builds pages of its own."""
    try:
        shown = str(target.relative_to(Path.cwd()))
    except (ValueError, OSError):
        shown = str(target)
    python = "python" if os.name == "nt" else "python3"
    command = f"{python} -m http.server --bind 127.0.0.1 --directory {shlex.quote(shown)}"
    return f"The site is in {target}. To read it: {command}, then open http://127.0.0.1:8000/."
