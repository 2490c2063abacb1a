"""What a build of unchanged files leaves unimported (docs/how-it-works.md, "What is imported
when")."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

SCRIPT = """
import sys
from mkdocs.__main__ import cli
cli(["build", "--quiet"], standalone_mode=False)
print(*sorted(name for name in sys.modules if name.startswith("chorus_handbook.")))
"""
#: Of each package that makes something: all that may be loaded where nothing is made.
TYPES_AND_TABLES = {
    "claims": {
        *("answers", "duplicate_titles", "playback_range", "related", "stock", "subject"),
        "wording",
    },
    "engraving": {"engraved", "lyric_font"},
    "music": {"chord_names", "facts", "facts_json", "learning", "modes", "score"},
    "pages": {
        *("care", "export", "home", "html", "index_file", "kin", "kinds", "page", "plans"),
        *("overviews", "written", "browser_files", "data_files", "facets", "find", "gaps", "kept"),
        *("make_icons", "number_words", "own_range", "planning_file", "site_head"),
    },
    "sound": {"instrument", "mp3", "tone", "tone_measures"},
    "voices": {"ladder", "ladder_data", "load", "rule"},
}
#: Modules elsewhere that make something.
MAKERS = {
    "entries.conversion",
    "entries.rendering",
    "entries.stray_notation",
    "records.making",
    "worker",
}


def modules_of_build(project: Path) -> set[str]:
    """Our modules that a build has loaded, without the package's name."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        cwd=project,
        env={**os.environ, "NO_MKDOCS_2_WARNING": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    return {name.partition(".")[2] for name in done.stdout.splitlines()[-1].split()}


def test_where_nothing_is_made_nothing_that_makes_is_imported(project: Path) -> None:
    first, second = modules_of_build(project), modules_of_build(project)
    assert first >= {*MAKERS - {"worker"}, "claims.checks", "music.degrees", "engraving.layouts"}
    assert second & MAKERS == set()
    parts = [name.split(".") for name in second if "." in name]
    assert [part for part in parts if part[1] not in TYPES_AND_TABLES.get(part[0], {part[1]})] == []
