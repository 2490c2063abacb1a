"""`handbook build`: checks the handbook, builds the site, and publishes it completely or not at
all.

The new site is built in a folder beside the old one, and the two are exchanged when everything has
worked. Files in the old site that no build wrote are moved to the new one, or stop the build before
it has changed anything.
"""

from __future__ import annotations

import argparse
import os
import shlex
import sys
from contextlib import nullcontext, suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from chorus_handbook.commands.last_build import BuildStart, is_as_built, save_build, start_build
from chorus_handbook.commands.old_site import (
    MOST_NAMED,
    WouldLoseError,
    describe_loss,
    in_handbook,
    in_site,
    read_old_site,
    refuse_loss,
    refuse_place,
    remember,
)
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.commands.staging import alone, check_place, clear_left_behind, staging
from chorus_handbook.mkdocs_plugin.build_date import set_date
from chorus_handbook.records.manifest import Manifest, write_manifest
from chorus_handbook.records.old_files import OldFiles

if TYPE_CHECKING:
    from chorus_handbook.cache import Cache
    from chorus_handbook.mkdocs_plugin.run import BuildResult
    from chorus_handbook.pipeline import Handbook

SUMMARY = "Build the site; if anything is wrong, the published one stays as it is"

_PROGRESS = {
    "records": "Reading, measuring and checking",
    "drawings": "Engraving in every key",
    "sound": "Making sound",
    "tracks": "Making practice tracks",
    "pages": "Writing the pages",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--strict", action="store_true", help="build nothing if there are notices either"
    )
    parser.add_argument(
        "--site-dir", type=Path, metavar="DIR", help="where the site goes (default: as mkdocs.yml)"
    )
    parser.add_argument(
        "--memory-stick",
        type=Path,
        metavar="DIR",
        help="write a site to be opened from a disk, without a web server, into this folder",
    )
    parser.add_argument(
        "--why", action="store_true", help="say what has changed and what was made again"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    """Run the command. Large libraries are imported only after checking that something has
    changed, because importing them takes most of the time of a build with nothing to do."""
    date = set_date(project.root)
    if options.memory_stick and options.site_dir:
        raise WrongUsageError(
            "--memory-stick already says into which folder the site goes; leave out --site-dir"
        )
    options.site_dir = options.memory_stick or options.site_dir
    option_text = f"strict: {options.strict}, memory stick: {bool(options.memory_stick)}"
    start = start_build(project, date=date, options=option_text, named=options.site_dir)
    last, target = start.last, None
    if last and start.nothing_new:
        try:
            target = _prepared(_target(Path(last.folder)), project)
            unchanged = is_as_built(target, read_old_site(target, project.cache), last)
        except OSError as failure:
            return _failed(f"handbook build: {_reason(failure)}")
        if unchanged:
            _print(last.output, last.error_output)
            _say(f"Nothing has changed since the last build. {_where_to_read(target, options)}")
            return 0
    if options.why:
        print(*start.changes(), sep="\n", flush=True)
    return _build(project, options, start, target)


def _prepared(target: Path, project: Project) -> Path:
    """Check that a site can be built in `target`, clean up after killed builds, and return it.
    Raises WrongUsageError and OSError."""
    refuse_place(target, project)
    check_place(target)
    _report_leftovers(clear_left_behind(target), target)
    return target


def _build(
    project: Project, options: argparse.Namespace, start: BuildStart, target: Path | None
) -> int:
    """Build the site and publish it; returns the exit code. `target` is the site's folder if
    `_prepared` has been called for it already, otherwise None."""
    from chorus_handbook import pipeline, report  # late: they import large libraries
    from chorus_handbook.mkdocs_plugin.run import SiteNotBuiltError, build_site, requested_site
    from chorus_handbook.pages.from_disk import open_from_disk
    from chorus_handbook.process_pool import collect_rarely

    collect_rarely()
    config_file, cache = project.config_file, project.cache
    try:
        requested = requested_site(config_file)
        warnings = "\n".join(f"{config_file.name}: {text}" for text in requested.warnings)
        _print("", warnings)
        folder = options.site_dir or requested.folder
        target = target or _prepared(_target(folder), project)
        listed = refuse_loss(target, cache, in_handbook(project.root))
        book = pipeline.read(project.root, cache, _progress)
        refused = _refused(book, options)
        begun = nullcontext() if refused else pipeline.begin_drawing(book, cache, _progress)
        with begun as drawing:  # other processes draw while this one renders pages
            if drawing:
                tracks = requested.tracks
                book = pipeline.plan(book, drawing, cache, with_tracks=tracks, tell=_progress)
            problems = report.as_text(book.problems)
            summary = report.summary(book.problems) if book.problems else ""
            _print(problems, summary)
            if drawing is None or _refused(book, options):
                return _failed()
            _say("Building the site ...")
            # A site for a memory stick is changed once it is built, so it shares no files.
            old = None if options.memory_stick else OldFiles(target, listed or Manifest({}))
            with staging(target) as stage:
                built = build_site(requested, stage.new, book, strict=options.strict, old=old)
                if options.memory_stick:
                    open_from_disk(stage.new)
                    built = replace(built, manifest=write_manifest(stage.new))
                if missing := drawing.problems():
                    _print(report.as_text(missing), report.summary(missing))
                    return _failed()
                with alone(target.parent):
                    refuse_loss(target, cache, in_site(stage.new))
                    stage.publish()
                    _report_leftovers(stage.clear(), target)
        remember(target, built.manifest, cache)
        with suppress(OSError):  # the site is published; the next build will only be slower
            printed = problems, "\n".join(filter(None, (warnings, summary)))
            save_build(project, start, folder, built.manifest, printed, whole=not built.why_not)
    except WouldLoseError as refusal:
        assert target is not None
        return _failed(describe_loss(refusal.foreign, target, project.root))
    except SiteNotBuiltError as failure:
        return _failed(f"handbook build: {failure}")
    except OSError as failure:
        return _failed(f"handbook build: {_reason(failure)}")
    if options.why:
        print(_made_again(built, cache))
    _say(_where_to_read(target, options))
    return 0


def _made_again(built: BuildResult, cache: Cache) -> str:
    """The lines that say how many pages, drawings and sounds this build had to make, and how many
    files of the site are new. `built.why_not` names what prevented the reuse of old pages."""
    made, files = cache.made, len(built.manifest.files)
    lines = [f"Every page was made again, because of {built.why_not}."] if built.why_not else []
    lines += [
        f"Made again: {_count(made['records'], 'record')}; {_count(made['keys'], 'drawing')} of "
        f"{_count(made['drawn'], 'exercise')}; the notes of {_count(made['sounds'], 'exercise')}; "
        f"{_count(made['tracks'], 'practice track')}; "
        f"{built.rendered} of {_count(built.rendered + built.kept, 'page')}.",
        f"Of {_count(files, 'file')}, {built.linked} are shared with the old site, and "
        f"{files - built.linked} were written.",
    ]
    return "\n".join(lines)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _print(output: str, error_output: str) -> None:
    if output:
        print(output)
    if error_output:
        _say(error_output)


def _failed(why: str = "") -> int:
    """Print why nothing was published; returns the exit code."""
    for line in filter(None, (why, "Nothing was published; if there is a site, it is unchanged.")):
        print(line, file=sys.stderr)
    return 1


def _refused(book: Handbook, options: argparse.Namespace) -> bool:
    """Whether the handbook has problems that keep it from being published: errors, or with --strict
    also notices."""
    return book.broken or (options.strict and bool(book.problems))


def _progress(stage: str) -> None:
    if stage in _PROGRESS:
        _say(f"{_PROGRESS[stage]} ...")


def _say(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


def _target(named: Path) -> Path:
    """The path of the site's folder with links followed, so that a link to it is not replaced by a
    folder. Raises WrongUsageError if it is a link to nothing."""
    if named.is_symlink() and not named.exists():
        raise WrongUsageError(
            f"{named} is a link that leads nowhere; name another folder: --site-dir DIR"
        )
    return named.resolve()


def _report_leftovers(left: list[Path], target: Path) -> None:
    """Print which files of killed builds could not be put back into the site at `target`; nothing
    if there are none."""
    if left:
        print(
            "These are left over from an earlier build. They could not be put back into "
            f"{target}, because something else is in their place there, or the system did not "
            "allow it. Move what you need from here, and delete the rest:",
            *(f"  {path}" for path in left[:MOST_NAMED]),
            sep="\n",
            file=sys.stderr,
        )


def _reason(failure: OSError) -> str:
    """The system's reason for a failure, after the name of the file if it is known."""
    why = failure.strerror or str(failure) or type(failure).__name__
    return f"{failure.filename}: {why}" if failure.filename else why


def _where_to_read(target: Path, options: argparse.Namespace) -> str:
    """The last line printed: where the site is, and how to open it. `handbook serve` does not show
    this folder: it builds pages of its own."""
    if options.memory_stick:
        return f"The site is in {target}. To read it, open {target / 'index.html'} in a browser."
    try:
        shown = str(target.relative_to(Path.cwd()))
    except (ValueError, OSError):
        shown = str(target)
    python = "python" if os.name == "nt" else "python3"
    command = f"{python} -m http.server --bind 127.0.0.1 --directory {shlex.quote(shown)}"
    return f"The site is in {target}. To read it: {command}, then open http://127.0.0.1:8000/."
