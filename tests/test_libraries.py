"""The libraries that the program runs with: their licences, and that a kept site knows them.

The requirements stand in pyproject.toml, their requirements in the metadata of what is installed,
and so on, without extras.
"""

from __future__ import annotations

import re
import tomllib
import zipfile
from importlib import metadata
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from chorus_handbook.dependencies import installed

PROJECT = Path(__file__).parent.parent
PAGE = (PROJECT / "docs" / "licences.md").read_text("utf-8")
#: Licences under which a program that uses the library must be passed on alike. The LGPL asks that
#: of the library alone.
_COPYLEFT = re.compile(
    r"(?<![A-Za-z])A?GPL|(?<!Lesser )(?<!Library )General Public License", re.IGNORECASE
)


PROGRAM = tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))["project"]


def needed() -> dict[str, metadata.Distribution]:
    """What the program runs with, by canonical name. What is wanted on other systems only is left
    out."""
    found: dict[str, metadata.Distribution] = {}
    waiting = [(line, frozenset({""})) for line in PROGRAM["dependencies"]]
    while waiting:
        line, extras = waiting.pop()
        requirement = Requirement(line)
        marker = requirement.marker
        if marker and not any(marker.evaluate({"extra": extra}) for extra in extras):
            continue
        key = canonicalize_name(requirement.name)
        if key not in found:
            found[key] = metadata.distribution(requirement.name)
            wanted = frozenset({"", *requirement.extras})
            waiting += [(inner, wanted) for inner in found[key].requires or []]
    return found


NEEDED = needed()


def licence(distribution: metadata.Distribution) -> str:
    """What the metadata say of the licence: the expression, the field, the classifiers."""
    reported = distribution.metadata
    stated = [reported.get("License-Expression"), (reported.get("License") or "").split("\n")[0]]
    classifiers = [c for c in reported.get_all("Classifier") or [] if c.startswith("License")]
    return "; ".join(text for text in (*stated, *classifiers) if text)


def asks_for_the_whole_program(text: str) -> bool:
    """Whether one of the words is a GPL or AGPL; an alternative ("OR") leaves the choice."""
    return all(_COPYLEFT.search(choice) for choice in re.split(r"\bOR\b", text))


@pytest.mark.parametrize("name", sorted(NEEDED))
def test_no_library_asks_for_the_whole_program(name: str) -> None:
    """The program is under the MIT licence, and may stay so."""
    reported = licence(NEEDED[name])
    assert reported, f"{name} states no licence"
    assert not asks_for_the_whole_program(reported)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("GPL-2.0-or-later", True),
        ("License :: OSI Approved :: GNU General Public License v2 or later (GPLv2+)", True),
        ("AGPL-3.0-only", True),
        ("LGPL-3.0-only", False),
        ("GNU Lesser General Public License v3", False),
        ("GPL-2.0-only OR MIT", False),
        ("MIT", False),
    ],
)
def test_such_a_licence_would_be_seen(text: str, asks: bool) -> None:
    assert asks_for_the_whole_program(text) is asks


def test_the_page_on_licences_names_every_library_and_no_other() -> None:
    table = PAGE.split("## What the program needs", 1)[1].split("\n## ", 1)[0]
    named = re.findall(r"(?m)^\| ([A-Za-z0-9._-]+) \|", table)
    listed = [canonicalize_name(name) for name in named if name not in ("Library", "---")]
    assert sorted(listed) == sorted(NEEDED)


def test_the_program_says_its_own_licence() -> None:
    assert (PROGRAM["license"], PROGRAM["license-files"]) == ("MIT", ["docs/LICENSE"])
    text = (PROJECT / "docs" / "LICENSE").read_text("utf-8")
    assert text.startswith("MIT License\n\nCopyright (c) 2026 Chorus Handbook contributors\n")


def test_the_wheel_holds_the_licence(tmp_path: Path) -> None:
    (wheel,) = WheelBuilder(str(PROJECT)).build(directory=str(tmp_path))
    with zipfile.ZipFile(wheel) as archive:
        (name,) = (name for name in archive.namelist() if "/licenses/" in name)
        text = archive.read(name)
    assert name.endswith(".dist-info/licenses/docs/LICENSE")
    assert text == (PROJECT / "docs" / "LICENSE").read_bytes()


def test_what_is_stored_depends_on_every_one_of_them() -> None:
    """A record is stored under the names of all that is installed."""
    known = {re.sub(r"[-_.]+", "-", name.rsplit(".", 1)[0]).casefold() for name in installed()}
    records = {
        name: re.sub(r"[-_.]+", "-", f"{name}-{distribution.version}").casefold()
        for name, distribution in NEEDED.items()
    }
    assert {name for name, record in records.items() if record not in known} == set()
