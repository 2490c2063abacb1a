"""What a stored result is declared to depend on is all that it depends on.

Each stored function runs in a process of its own that has read nothing yet, under an audit hook
(PEP 578): whatever it opens or imports must be declared. Its arguments are what its name in the
store is made from, so they are made elsewhere.
"""

from __future__ import annotations

import json
import os
import pickle
import re
import shutil
import subprocess
import sys
import sysconfig
from dataclasses import replace
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest

from checked import Checked
from chorus_handbook import dependencies
from chorus_handbook.cache import Cache
from chorus_handbook.dependencies import DRAWINGS, PACKAGE, SOUND, CachedPart
from chorus_handbook.engraving.exercise import engrave_in_keys
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Parts
from chorus_handbook.sound import hear
from chorus_handbook.sound.instrument import ComputedTones, instrument
from chorus_handbook.sound.schedule import PlaybackOptions
from chorus_handbook.sound.tracks import Track, make, tracks_of

#: Where Python itself lies.
PYTHON = (sysconfig.get_path("stdlib"), sysconfig.get_path("platstdlib"), "/dev", "/proc")
SCRIPT = """
import sys
opened = set()
def note(event, arguments):
    if event == "open" and isinstance(arguments[0], (str, bytes)):
        opened.add(arguments[0] if isinstance(arguments[0], str) else arguments[0].decode())
sys.addaudithook(note)
import json, pickle
function, arguments = pickle.loads(sys.stdin.buffer.read())
function(*arguments)
files = {str(m.__file__) for m in list(sys.modules.values()) if getattr(m, "__file__", None)}
print(json.dumps([sorted(opened), sorted(files)]))
"""


def calls(demo: Checked, slug: str) -> dict[str, tuple[CachedPart, Any, tuple[Any, ...]]]:
    """Each stored function with arguments from the demo."""
    assert demo.config.chorus
    exercise = demo.exercises[slug]
    parts = Parts(demo.root, demo.config.chorus, Cache(None))
    drawable = parts.drawable(exercise)
    assert drawable and exercise.facts
    heard = (exercise.entry, drawable.score, exercise.facts, drawable.chorus)
    return {
        "drawings": (DRAWINGS, engrave_in_keys, (drawable,)),
        "sound": (SOUND, hear, heard),
        "tracks": (
            SOUND,
            make,
            (track_of(exercise, hear(*heard).notes), ComputedTones(), Cache(None)),
        ),
    }


def track_of(exercise: Exercise, notes: bytes) -> Track:
    """A practice track of an exercise, in its first key only."""
    index = instrument(ComputedTones(), Cache(None)).index
    options = PlaybackOptions(last=0)
    found, _ = tracks_of(exercise.slug, notes, None, options, "Testing Chorus", index)
    return replace(next(iter(found.values())), options=options)


@pytest.mark.parametrize("slug", ["slipway", "paired-oars", "fog-signal"])
@pytest.mark.parametrize("name", ["drawings", "sound", "tracks"])
def test_a_stored_function_uses_only_what_it_declares(name: str, slug: str, demo: Checked) -> None:
    part, function, arguments = calls(demo, slug)[name]
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        input=pickle.dumps((function, arguments)),
        capture_output=True,
        check=True,
        # pydantic looks through every distribution for plugins of its own, unless told not to
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYDANTIC_DISABLE_PLUGINS": "__all__"},
    )
    opened, imported = json.loads(done.stdout)
    places = [Path(name).resolve() for name in {*opened, *imported} if Path(name).is_file()]
    assert any(place.is_relative_to(PACKAGE / part.code[0]) for place in places)
    assert sorted(str(place) for place in places if not declared(place, part)) == []


def declared(place: Path, part: CachedPart) -> bool:
    """Whether a file belongs to the declared code, the declared libraries or Python itself."""
    if place.suffix == ".pyc":
        place = place.parent.parent / f"{place.name.partition('.')[0]}.py"
    if place.is_relative_to(PACKAGE):
        allowed = (PACKAGE / one for one in (*part.code, "__init__.py"))
        return any(place.is_relative_to(one) for one in allowed)
    if "site-packages" in place.parts:
        return place in files_of(part.libraries)
    return any(place.is_relative_to(Path(one).resolve()) for one in PYTHON)


@cache
def files_of(libraries: tuple[str, ...]) -> frozenset[Path]:
    """The files of distributions and of all that they require."""
    found: set[Path] = set()
    wanted, seen = list(libraries), set[str]()
    while wanted:
        name = wanted.pop()
        if name in seen:
            continue
        seen.add(name)
        try:
            distribution = metadata.distribution(name)
        except metadata.PackageNotFoundError:  # required elsewhere only
            continue
        found |= {Path(str(one.locate())).resolve() for one in distribution.files or ()}
        wanted += [re.split(r"[^\w.-]", line)[0] for line in distribution.requires or ()]
    return frozenset(found)


@pytest.mark.parametrize("part", [DRAWINGS, SOUND], ids=lambda part: part.name)
def test_declared_code_and_libraries_exist(part: CachedPart) -> None:
    assert [one for one in part.code if not (PACKAGE / one).exists()] == []
    assert [one for one in part.libraries if not files_of((one,))] == []


def test_a_changed_file_of_the_declared_code_is_another_version(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(PACKAGE, tmp_path / "package")
    monkeypatch.setattr(dependencies, "PACKAGE", tmp_path / "package")
    version = dependencies._part_version.__wrapped__
    before = version(DRAWINGS), version(SOUND)
    with (tmp_path / "package" / "pages" / "words.py").open("a") as file:
        file.write("# changed")
    assert (version(DRAWINGS), version(SOUND)) == before
    with (tmp_path / "package" / "sound" / "midi.py").open("a") as file:
        file.write("# changed")
    assert version(DRAWINGS) == before[0] and version(SOUND) != before[1]
