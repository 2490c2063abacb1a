"""Whatever fails around a command, it ends with a plain line and an exit code."""

from __future__ import annotations

import ctypes
import errno
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.commands import MODULES, command
from chorus_handbook.failures import DEBUG

Run = Callable[..., tuple[int, str, str]]
PROGRAM = [
    *(sys.executable, "-c"),
    "import sys; from chorus_handbook.cli import main; sys.exit(main())",
]
NEW = (
    *("new", "--title", "Rope walk", "--summary", "Five notes.", "--goal", "resonance"),
    *("--impact", "2", "--sounding", "hum", "--minutes", "2"),
)
#: A right call of every command that ends by itself.
WORDS = {
    "init": ("init", "begun", "--name", "Own", "--singers", "mixed", "--stock", "one"),
    "new": NEW,
    "import": ("import", "tune.abc"),
    "adopt": ("adopt", "other", "high-tide"),
    "check": ("check",),
    "build": ("build",),
    "measure": ("measure", "low-tide"),
    "tracks": ("tracks", "low-tide", "evening", "--voice", "alto"),
    "schema": ("schema",),
    "plan": ("plan", "--title", "Thursday", "--from-last"),
    "suggest": ("suggest", "--date", "2026-12-10", "--dry-run"),
    "cue": ("cue", "2026-09-03"),
    "sung": ("sung", "saved.json"),
    "renew": ("renew", "--yes"),
}
WARM_UP = """\
---
title: Monday
date: 2026-09-03
starts: 19:30
minutes: 10
items:
  - exercise: low-tide
    sung: yes
---
"""
ROUTINE = "---\ntitle: Evening\nitems: [{exercise: low-tide, keys: C4}]\n---\n"
SAVED = """{"warm_up": "2026-09-03-monday", "chorus": "Testing Chorus",
"items": [{"exercise": "low-tide", "sung": "yes", "remark": "Quiet."}]}"""
ABC = "X:1\nT:Rope ladder\nM:4/4\nL:1/4\nK:C\nC D E D | C3 z |\n"


def start(
    project: Path, *words: str, env: dict[str, str] | None = None, **options: object
) -> subprocess.CompletedProcess[bytes]:
    """Run a command in a process of its own, from within the project."""
    settings: dict[str, object] = {"cwd": project, "capture_output": True, **options}
    return subprocess.run(  # type: ignore[call-overload,no-any-return]
        [*PROGRAM, *words], check=False, timeout=120, env={**os.environ, **(env or {})}, **settings
    )


def only_line(text: bytes) -> str:
    (line,) = text.decode().splitlines()
    return line


@pytest.fixture
def prepared(project: Path) -> Path:
    (project / "tune.abc").write_text(ABC, encoding="utf-8")
    (project / "saved.json").write_text(SAVED, encoding="utf-8")
    other = shutil.copytree(project / "handbook", project / "other" / "handbook") / "exercises"
    text = (other / "low-tide.md").read_text(encoding="utf-8").replace("Low tide", "High tide")
    (other / "high-tide.md").write_text(text, encoding="utf-8")
    (project / "handbook" / "warmups").mkdir()
    warm_up = project / "handbook" / "warmups" / "2026-09-03-monday.md"
    warm_up.write_text(WARM_UP, encoding="utf-8")
    (project / "handbook" / "routines").mkdir()
    (project / "handbook" / "routines" / "evening.md").write_text(ROUTINE, encoding="utf-8")
    return project


def test_every_command_is_tried() -> None:
    assert {*WORDS, "serve"} == set(MODULES)  # serve has tests of its own


# -- files that are not what they should be -------------------------------------------------


def as_folder(path: Path) -> None:
    path.unlink(missing_ok=True)
    path.mkdir()


def as_pipe(path: Path) -> None:
    path.unlink(missing_ok=True)
    os.mkfifo(path)


def as_circle(path: Path) -> None:
    path.unlink(missing_ok=True)
    path.symlink_to(path.name)


def as_lost_link(path: Path) -> None:
    path.unlink(missing_ok=True)
    path.symlink_to("nowhere")


def as_junk(path: Path) -> None:
    path.write_bytes(bytes(random.Random(7).randbytes(2000)))


def as_nothing(path: Path) -> None:
    path.unlink(missing_ok=True)


DAMAGE = (as_folder, as_pipe, as_circle, as_lost_link, as_junk, as_nothing)


@pytest.mark.parametrize("damage", DAMAGE)
@pytest.mark.parametrize(
    "name", ["chorus.yml", "vocabulary.yml", "views.yml", "exercises/low-tide.md", "index.md"]
)
def test_a_damaged_file_of_the_handbook(
    prepared: Path,
    handbook: Run,
    monkeypatch: pytest.MonkeyPatch,
    damage: Callable[[Path], None],
    name: str,
) -> None:
    monkeypatch.chdir(prepared)
    damage(prepared / "handbook" / name)
    for words in (WORDS["check"], WORDS["measure"], NEW, WORDS["import"]):
        code, out, err = handbook(*words)
        assert code in (0, 1, 2) and "Traceback" not in out + err and "None" not in err
        assert code == 0 or err.strip(), words
        assert "not your mistake" not in err, (words, err)


SERVE = ("serve", "--address", "127.0.0.1:nowhere")
#: Which commands have to do with it, where not all have.
TOUCHED = {
    "mkdocs.yml": ("build", "serve"),
    ".cache": ("build",),
    "site": ("build",),
    "tracks": ("tracks",),
    "tune.abc": ("import",),
}


@pytest.mark.parametrize("damage", DAMAGE)
@pytest.mark.parametrize("name", ["mkdocs.yml", "handbook", ".cache", "site", "tracks", "tune.abc"])
def test_a_damaged_file_of_the_project(
    prepared: Path,
    handbook: Run,
    monkeypatch: pytest.MonkeyPatch,
    damage: Callable[[Path], None],
    name: str,
) -> None:
    monkeypatch.chdir(prepared)
    if name == "handbook":
        shutil.rmtree(prepared / name)
    damage(prepared / name)
    touched = TOUCHED.get(name, (*WORDS, "serve"))
    for words in ((word, *WORDS.get(word, SERVE)[1:]) for word in touched):
        code, out, err = handbook(*words)
        assert code in (0, 1, 2) and "Traceback" not in out + err and "None" not in err
        assert code == 0 or err.strip(), words
        assert "not your mistake" not in err, (words, err)


@pytest.mark.parametrize("words", [WORDS["build"], ("serve", "--address", "127.0.0.1:0")])
@pytest.mark.parametrize("text", ["", "site_name: [", "site_name: A\n", "[]", "a: &a [*a]", "\0"])
def test_a_mkdocs_yml_that_says_nothing_of_use(
    project: Path, handbook: Run, words: tuple[str, ...], text: str
) -> None:
    (project / "mkdocs.yml").write_text(text, encoding="utf-8")
    code, _, err = handbook("--project", project, *words)
    assert code in (1, 2) and "mkdocs.yml" in err and "Traceback" not in err
    assert "not your mistake" not in err


# -- the system ----------------------------------------------------------------------------


def without_rights() -> None:
    """In the new process, before it begins: whoever runs the tests loses the right to read and
    write what its permissions forbid (capabilities(7); only root has that right)."""
    prctl = ctypes.CDLL(None).prctl
    for capability in (_DAC_OVERRIDE, _DAC_READ_SEARCH):
        prctl(_CAPBSET_DROP, capability)


_CAPBSET_DROP, _DAC_OVERRIDE, _DAC_READ_SEARCH = 24, 1, 2


@pytest.mark.parametrize(
    ("name", "mode", "commands"),
    [
        ("handbook", 0, ["new", "import", "check", "build", "measure", "tracks"]),
        ("mkdocs.yml", 0, ["build"]),
        ("tune.abc", 0, ["import"]),
        ("handbook/exercises", 0o555, ["new", "import"]),
        (".", 0o555, ["build", "tracks"]),
    ],
)
def test_what_may_not_be_read_or_written_is_named(
    prepared: Path, name: str, mode: int, commands: list[str]
) -> None:
    (prepared / name).chmod(mode)
    for word in commands:
        done = start(prepared, *WORDS[word], preexec_fn=without_rights)
        (prepared / name).chmod(0o755 if word is commands[-1] else mode)
        message = done.stderr.decode()
        assert done.returncode in (1, 2) and "Traceback" not in message and "None" not in message
        assert "ermission" in message or "cannot be opened" in message, (word, message)


def test_a_folder_that_is_gone_is_one_line(tmp_path: Path) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    for words in (WORDS["check"], WORDS["build"]):
        script = f"import os, sys; os.chdir({str(gone)!r}); os.rmdir({str(gone)!r}); "
        done = subprocess.run(
            [*PROGRAM[:2], script + PROGRAM[2], *words], capture_output=True, check=False
        )
        gone.mkdir()
        assert done.returncode == 2 and "deleted or moved" in only_line(done.stderr)


def test_a_full_disk_leaves_no_empty_file(
    prepared: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(prepared)

    def files() -> list[Path]:
        return sorted(path for path in prepared.rglob("*") if ".cache" not in path.parts)

    before = files()

    class Full:
        def __init__(self, file: object) -> None:
            self._file = file

        def __enter__(self) -> Full:
            return self

        def __exit__(self, *_: object) -> None:
            self._file.close()  # type: ignore[attr-defined]

        def write(self, _: bytes) -> int:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    opened = Path.open
    monkeypatch.setattr(
        Path,
        "open",
        lambda path, mode="r", **kw: (
            Full(opened(path, mode, **kw)) if "x" in mode else opened(path, mode, **kw)
        ),
    )
    for words in (NEW, WORDS["import"]):
        code, out, err = handbook(*words)
        assert (code, out) == (1, "")
        assert re.fullmatch(r"handbook \w+: \S+\.md: the disk is full\n", err)
    assert files() == before


@pytest.mark.parametrize("name", WORDS)
def test_output_that_cannot_be_written_is_one_line(prepared: Path, name: str) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    if name == "check":  # a check without errors prints nothing
        as_junk(prepared / "handbook" / "vocabulary.yml")
    with Path("/dev/full").open("wb") as full:
        done = start(
            prepared, *WORDS[name], capture_output=False, stdout=full, stderr=subprocess.PIPE
        )
    message = done.stderr.decode()
    assert "Traceback" not in message and "Exception ignored" not in message
    if name in ("new", "import", "check", "measure", "schema"):
        assert done.returncode == 1
        assert message.splitlines()[-1] == f"handbook {name}: standard output: the disk is full"


@pytest.mark.parametrize(
    ("name", "closed"),
    [
        *(("new", 0), ("import", 0), ("new", 1), ("check", 1), ("schema", 1)),
        *(("import", 2), ("check", 2), ("measure", 2)),
    ],
)
def test_closed_streams_cost_nothing_but_what_would_stand_there(
    prepared: Path, name: str, closed: int
) -> None:
    script = (
        f"import os; os.close({closed}); os.execv({sys.executable!r}, {[*PROGRAM, *WORDS[name]]!r})"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=prepared, capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    for file in (prepared / "handbook" / "exercises").iterdir():  # nothing was printed into a file
        assert file.read_bytes().startswith(b"---\n")


@pytest.mark.parametrize("name", ["check", "measure", "schema"])
def test_a_reader_that_goes_away_changes_no_verdict(prepared: Path, name: str) -> None:
    for wrong in (False, True):
        if wrong:
            as_junk(prepared / "handbook" / "vocabulary.yml")
        process = subprocess.Popen(
            [*PROGRAM, *WORDS[name]], cwd=prepared, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        assert process.stdout and process.stderr
        process.stdout.close()
        message = process.stderr.read().decode()
        assert process.wait() == (1 if wrong and name == "check" else 0)
        assert "Broken pipe" not in message and "Exception ignored" not in message


@pytest.mark.parametrize(
    "locale",
    [
        {"PYTHONIOENCODING": "ascii"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": "ascii"},
    ],
    ids=["ascii", "C and ascii"],
)
def test_no_locale_changes_more_than_how_text_is_shown(
    prepared: Path, locale: dict[str, str]
) -> None:
    project = prepared.parent / "Chöre ♯"
    shutil.copytree(prepared, project)
    words = [word.replace("Rope walk", "Träge Flut ♯") for word in NEW]
    done = start(project, *words, "--project", str(project), env=locale)
    assert done.returncode == 0, done.stderr
    written = project / "handbook" / "exercises" / done.stdout.decode().split("/")[-1].strip()
    assert "Träge Flut ♯" in written.read_text(encoding="utf-8")
    assert b"Ch\\xf6re" in done.stdout or "Chöre" in done.stdout.decode()
    written.write_text(written.read_text("utf-8").replace("impact: 2", "impact: „zwei“"), "utf-8")
    done = start(project, "check", env=locale)
    assert done.returncode == 1 and b"zwei" in done.stdout and b"Traceback" not in done.stderr
    done.stdout.decode("ascii")  # as the terminal asked for
    written.unlink()
    done = start(project, "build", env=locale)
    assert done.returncode == 0 and (project / "site" / "index.html").is_file(), done.stderr


# -- signals --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["check", "build", "tracks"])
@pytest.mark.parametrize(
    ("how", "word"), [(signal.SIGINT, "interrupted"), (signal.SIGTERM, "SIGTERM")]
)
def test_a_signal_at_any_moment_is_one_line(
    prepared: Path, name: str, how: signal.Signals, word: str
) -> None:
    """The moments are spread over the whole run, from the first import on."""
    chance = random.Random(f"{name} {how}")
    for _ in range(3):
        begun = PROGRAM[2].replace("sys.exit", "print('begun', flush=True); sys.exit")
        process = subprocess.Popen(
            [*PROGRAM[:2], begun, *WORDS[name]],
            cwd=prepared,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        assert process.stdout and process.stdout.readline() == b"begun\n"
        time.sleep(0.005 + chance.random() ** 2)
        process.send_signal(how)
        _, message = process.communicate(timeout=60)
        assert b"Traceback" not in message and b"Exception ignored" not in message, message.decode()
        # Within the first thousandths of a second the system may end it by itself, without a word.
        assert process.returncode in (0, 128 + how, -how), message.decode()
        if process.returncode > 0:
            assert word in message.decode().splitlines()[-1]
    assert not list(prepared.glob(".site*"))


def test_a_signal_that_a_library_turns_into_an_error_of_its_own_is_still_a_signal(
    prepared: Path,
) -> None:
    """As compiled code may do in which a signal arrives."""
    swallow = (
        "import os, signal; from chorus_handbook.commands import check\n"
        "def run(*_):\n"
        "    try: os.kill(os.getpid(), signal.SIGTERM)\n"
        "    except BaseException: raise SystemError('a schema could not be made') from None\n"
        "check.run = run\n"
    )
    process = [*PROGRAM[:2], swallow + PROGRAM[2], "check"]
    done = subprocess.run(process, cwd=prepared, capture_output=True, text=True, check=False)
    assert done.returncode == 128 + signal.SIGTERM, done.stderr
    assert done.stderr == "handbook check: ended from outside (SIGTERM).\n"


# -- the program itself ---------------------------------------------------------------------


def test_a_fault_of_the_program_is_one_line_and_says_how_to_see_more(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> int:
        raise KeyError("something\nunforeseen")

    monkeypatch.setattr(command("check"), "run", fail)
    code, out, err = handbook("--project", project, "check")
    assert (code, out) == (1, "") and len(err.splitlines()) == 1
    assert "not your mistake" in err and "KeyError" in err and f"{DEBUG}=1" in err
    monkeypatch.setenv(DEBUG, "1")
    with pytest.raises(KeyError):
        handbook("--project", project, "check")


def test_memory_that_runs_out_is_one_line(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> int:
        raise MemoryError

    monkeypatch.setattr(command("check"), "run", fail)
    assert handbook("--project", project, "check") == (
        *(1, ""),
        "handbook check: there is not enough memory.\n",
    )


def test_a_handbook_may_be_a_link(prepared: Path, handbook: Run) -> None:
    (prepared / "handbook").rename(prepared.parent / "elsewhere")
    (prepared / "handbook").symlink_to("../elsewhere")
    assert handbook("--project", prepared, "check")[0] == 0
    code, _, err = handbook("--project", prepared, "build")
    assert code == 0 and (prepared / "site" / "exercises" / "low-tide").is_dir(), err
    path = prepared / "handbook" / "exercises" / "low-tide.md"
    path.write_text(path.read_text("utf-8").replace("impact: 2", "impact: 9"), "utf-8")
    code, out, _ = handbook("--project", prepared, "check", "handbook/exercises/low-tide.md")
    assert code == 1 and out.startswith("handbook/exercises/low-tide.md:5:9")
    shutil.rmtree(prepared.parent / "elsewhere")
    code, _, err = handbook("--project", prepared, "check")
    assert code == 2 and "a link to a folder that does not exist" in err


def test_a_schema_overwrites_only_a_schema_of_ours(project: Path, handbook: Run) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    before = exercise.read_bytes()
    for path in (exercise, project / "mkdocs.yml", project):
        code, _, err = handbook("schema", "--output", path)
        assert code == 2 and "name another file" in err and len(err.splitlines()) == 1
    assert exercise.read_bytes() == before
    other = project / "other.json"
    other.write_text('{"$schema": "https://json-schema.org/draft/2020-12/schema"}', "utf-8")
    assert handbook("schema", "--output", other)[0] == 2
    other.unlink()
    for _ in range(2):
        assert handbook("schema", "--output", other)[0] == 0
