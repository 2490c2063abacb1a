"""The sound font that chorus.yml names, as far as `check` looks at it. What else can be wrong with
its name stands in tests/broken_handbooks."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.chorus.sound_font import LARGEST

Read = Callable[[str, str], tuple[Any, list[Any]]]
HEAD = b"RIFF\x04\0\0\0sfbk"


@pytest.fixture
def sounds(tmp_path: Path) -> Path:
    folder = tmp_path / "handbook" / "sounds"
    folder.mkdir(parents=True)
    return folder


@pytest.fixture
def found(
    read: Read, chorus_text: str, vocabulary_text: str
) -> Callable[[], list[tuple[str, str]]]:
    """Code and message of what is said of a chorus.yml that names sounds/our.sf2."""

    def say() -> list[tuple[str, str]]:
        text = f"{chorus_text}sound_font:\n  file: sounds/our.sf2\n"
        config, problems = read(text, vocabulary_text)
        assert config.chorus.sound_font.file == "sounds/our.sf2"
        assert all(p.place.line == len(text.splitlines()) and p.hint for p in problems)
        return [(problem.code, problem.message) for problem in problems]

    return say


def test_a_sound_font_is_taken(sounds: Path, found: Callable[[], object]) -> None:
    (sounds / "our.sf2").write_bytes(HEAD)
    assert found() == []


@pytest.mark.parametrize("data", [b"", b"RIFF", b"RIFF\x04\0\0\0WAVE", b"PK\x03\x04" + b"\0" * 40])
def test_another_file_is_told(sounds: Path, found: Callable[[], object], data: bytes) -> None:
    (sounds / "our.sf2").write_bytes(data)
    assert found() == [("sound-font", "The file named here is not a sound font.")]


def test_a_font_of_a_whole_orchestra_is_told(sounds: Path, found: Callable[[], object]) -> None:
    with (sounds / "our.sf2").open("wb") as file:
        file.write(HEAD)
        file.truncate(LARGEST + 1)  # takes no room on the disk
    assert found() == [("file-size", "The sound font is larger than 256 MB.")]


def test_a_link_out_of_the_folder_is_told(
    sounds: Path, found: Callable[[], object], tmp_path: Path
) -> None:
    (tmp_path / "elsewhere.sf2").write_bytes(HEAD)
    (sounds / "our.sf2").symlink_to(tmp_path / "elsewhere.sf2")
    message = '"sounds/our.sf2" is a link to a file outside the folder "sounds".'
    assert found() == [("sound-font", message)]


def test_a_folder_is_no_font(sounds: Path, found: Callable[[], object]) -> None:
    (sounds / "our.sf2").mkdir()
    assert found() == [("sound-font", '"sounds/our.sf2" is not a file.')]
