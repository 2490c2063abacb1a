"""The wheel alone: with what it needs, and no repository near, it builds the demo as the checkout
does."""

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
    """Scripts, styles, templates and data too, and nothing that is not of the package."""
    names = set(zipfile.ZipFile(wheel).namelist())
    ours = {f"chorus_handbook/{name}" for name in files(PACKAGE)}
    assert {name for name in names if ".dist-info/" not in name} == ours


#: A part of pydantic, which asks for the one version that fits it.
PARTS = {"pydantic_core": "pydantic"}


def test_whatever_is_imported_is_asked_for(wheel: Path) -> None:
    """By name, since another library may cease to bring it along."""
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
        for name in imports(file) if file.suffix == ".py" else ():
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
