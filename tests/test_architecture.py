"""The folders are the pipeline: who may import whom, and what may be imported at all."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

import chorus_handbook

PACKAGE = Path(chorus_handbook.__file__).parent
PROJECT = Path(__file__).parent.parent
FOUNDATION = {
    *("cache", "catalogue", "dependencies", "pitch", "problems", "process_pool", "shared_facts"),
    *("source", "template_cache", "worker"),
}
STAGES = (
    *("chorus", "entries", "music", "voices", "claims", "engraving", "sound", "records"),
    *("adopting", "views", "warmups", "pages", "mkdocs_plugin"),
)
#: Each heavy library stands behind one module.
HOMES = {
    "music21": ("music/analysis.py",),
    "verovio": ("engraving/engine.py",),
    "fontTools": ("engraving/make_lyric_font.py",),
    "mkdocs": ("mkdocs_plugin/",),
    "lxml": ("music/musicxml/",),
    "yaml": ("source/",),
    "ruamel": (),  # another reader of YAML, for tests only
    "numpy": (
        *(f"sound/{name}.py" for name in ("tone", "tone_measures", "sound_font", "render")),
        "warmups/suggesting/solver.py",
    ),
    "highspy": ("warmups/suggesting/solver.py",),
    "pulp": (),  # a second solver, for tests only
    "fluidsynth": ("sound/sound_font.py",),
    "mido": ("sound/midi.py",),
    "mutagen": (),  # GPL: tests read tags with it, the program does not
    "soundfile": ("sound/mp3.py",),
    "markdown": ("entries/conversion.py",),
    "nh3": ("entries/sanitise.py",),
}


@cache
def imports_of(file: Path) -> set[str]:
    """The dotted names a module imports, wherever the statement stands."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names.add(node.module)
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("stage", STAGES)
def test_a_stage_imports_only_the_stages_before_it(stage: str) -> None:
    allowed = FOUNDATION | set(STAGES[: STAGES.index(stage) + 1])
    if stage == "mkdocs_plugin":  # it runs the pipeline and reports what it found
        allowed |= {"pipeline", "report", "failures"}
    for file in sorted((PACKAGE / stage).rglob("*.py")):
        for name in imports_of(file):
            parts = name.split(".")
            if parts[0] == "chorus_handbook" and len(parts) > 1:
                assert parts[1] in allowed, f"{file.relative_to(PACKAGE)} imports {name}"


def test_the_foundation_imports_no_stage() -> None:
    files = [PACKAGE / f"{name}.py" for name in FOUNDATION if (PACKAGE / f"{name}.py").exists()]
    files += (PACKAGE / "source").rglob("*.py")
    for file in files:
        inner = {n.split(".")[1] for n in imports_of(file) if n.startswith("chorus_handbook.")}
        assert inner <= FOUNDATION, file


@pytest.mark.parametrize("library", HOMES)
def test_each_heavy_library_stands_behind_one_module(library: str) -> None:
    for file in sorted(PACKAGE.rglob("*.py")):
        where = file.relative_to(PACKAGE).as_posix()
        if any(name.split(".")[0] == library for name in imports_of(file)):
            assert where.startswith(HOMES[library] or ("-",)), f"{where} imports {library}"


LATE = (
    "music21",
    "verovio",
    "numpy",
    "soundfile",
    "mido",
    "fluidsynth",
    "highspy",
    "fontTools",
    "mkdocs",
)


@pytest.mark.parametrize("arguments", [["--help"], ["check"], ["measure", "slipway"], ["schema"]])
def test_quick_commands_import_no_heavy_library(arguments: list[str]) -> None:
    script = (
        "import sys\n"
        "from chorus_handbook.cli import main\n"
        f"sys.argv = ['handbook', *{arguments!r}]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        f"print('HEAVY', sorted(set({LATE!r}) & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=PROJECT, check=True
    )
    assert done.stdout.strip().endswith("HEAVY []"), done.stdout


def test_what_is_stored_is_not_rendered_again(project: Path) -> None:
    script = (
        "import sys\n"
        "from chorus_handbook.cli import main\n"
        "assert main(['--project', sys.argv[1], 'check']) == 0\n"
        "print(*sorted({'markdown', 'nh3'} & set(sys.modules)))\n"
    )
    command = [sys.executable, "-c", script, str(project)]
    first, second = (
        subprocess.run(command, capture_output=True, text=True, check=True).stdout for _ in range(2)
    )
    assert first.splitlines()[-1] == "markdown nh3"
    assert second.splitlines()[-1] == ""


def test_a_module_fits_in_the_head() -> None:
    long = {
        str(file.relative_to(PACKAGE)): lines
        for file in PACKAGE.rglob("*.py")
        if (lines := len(file.read_text(encoding="utf-8").splitlines())) > 350
    }
    assert not long


#: A time that has passed, by any of Python's clocks.
ELAPSED = re.compile(r"\b(?:time|monotonic|perf_counter|process_time)(?:_ns)?\(\)\s*-")


def test_no_test_measures_how_long_something_takes() -> None:
    """It would fail on a busy machine. Work is counted by the fixture `work`, a hang is ended by
    the runner, and speed is measured by the benchmark."""
    files = sorted((PROJECT / "tests").rglob("*.py"))
    assert len(files) > 100
    assert [str(file) for file in files if ELAPSED.search(file.read_text("utf-8"))] == []


#: Calls that read or write text unless a mode ends with "b".
TEXT_CALLS = {"read_text", "write_text", "open", "fdopen", "TextIOWrapper"}
#: Whose `open` gives bytes: the system's, and that of a zip file.
OPEN_BYTES = {"os", "archive"}


def test_text_is_utf_8_on_every_system() -> None:
    """Windows would read and write files in an encoding of its own."""
    silent = []
    for file in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            called = getattr(node.func, "attr", "")  # "" also for our own function read_text
            owner = getattr(getattr(node.func, "value", None), "id", "")
            if getattr(node.func, "id", called) == "open":
                called = "open"
            if called not in TEXT_CALLS or (called == "open" and owner in OPEN_BYTES):
                continue
            texts = [a.value for a in node.args if isinstance(a, ast.Constant)]
            binary = any(isinstance(t, str) and t.endswith(("b", "b+")) for t in texts)
            named = "utf-8" in texts or any(word.arg == "encoding" for word in node.keywords)
            if not (binary or named):
                silent.append(f"{file.relative_to(PACKAGE)}:{node.lineno}")
    assert silent == []
