"""Files to text: what is no text is a problem with a place, and line ends change nothing."""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chorus_handbook.problems import Problem
from chorus_handbook.source import clip, read_text, shown_path
from chorus_handbook.source.text import LARGEST_FILE


@pytest.fixture
def root(tmp_path: Path) -> Path:
    folder = tmp_path / "handbook"
    (folder / "exercises").mkdir(parents=True)
    return folder


def read(root: Path, data: bytes) -> tuple[str | None, list[Problem]]:
    file = root / "exercises" / "a.md"
    file.write_bytes(data)
    return read_text(file, "handbook/exercises/a.md")


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b"a\nb\n", "a\nb\n"),
        (b"\xef\xbb\xbfa\nb", "a\nb"),
        (b"a\r\nb\r\n", "a\nb\n"),
        (b"a\rb", "a\nb"),
        (b"a\r\r\nb", "a\n\nb"),
        ("é 🎵\tx".encode(), "é 🎵\tx"),
    ],
)
def test_marks_and_line_ends_are_evened_out(root: Path, data: bytes, text: str) -> None:
    assert read(root, data) == (text, [])


#: Unicode Standard Annex #9, Bidirectional Algorithm: its explicit formatting characters by class
#: (sections 2.1 to 2.4, as Python's copy of the Unicode Character Database has them), and the three
#: marks (section 2.6).
TURNING = [
    *(
        chr(code)
        for code in range(0x110000)
        if unicodedata.bidirectional(chr(code)) in "LRE RLE LRO RLO PDF LRI RLI FSI PDI".split()
    ),
    *"\u200e\u200f\u061c",
]


@pytest.mark.parametrize("character", TURNING, ids=unicodedata.name)
def test_what_turns_the_direction_of_text_is_refused(root: Path, character: str) -> None:
    text, (problem,) = read(root, f"Song{character}gnoS".encode())
    assert text == "Song gnoS"
    assert (problem.code, problem.place.column) == ("file-character", 5)
    assert unicodedata.name(character).lower() in problem.message


def test_there_are_twelve_of_them() -> None:
    assert len(TURNING) == 12


def test_what_other_scripts_and_emoji_need_is_kept(root: Path) -> None:
    text = "\u05e9\u05d9\u05e8 \U0001f468\u200d\U0001f3a4 n\u200cn"  # Hebrew; joiners
    assert read(root, text.encode()) == (text, [])


@pytest.mark.parametrize(
    ("data", "line", "column"),
    [
        (b"a\xff", 1, 2),
        (b"\xef\xbb\xbfa\xff", 1, 2),
        ("é🎵".encode() + b"\xe9", 1, 3),
        (b"a\r\nb\r\ncd\xe9", 3, 3),
        (b"a\rb\xe9", 2, 2),
        (b"a\n\xc3", 2, 1),
        (b"a\xed\xa0\x80", 1, 2),  # half of a surrogate pair is no character
        (b"a\xc0\x80", 1, 2),  # NUL in two bytes is no UTF-8
    ],
)
def test_a_bad_byte_has_its_place(root: Path, data: bytes, line: int, column: int) -> None:
    text, (problem,) = read(root, data)
    assert text is None
    assert (problem.code, problem.place.line, problem.place.column) == (
        "file-encoding",
        line,
        column,
    )


def test_a_bad_byte_is_shown_as_what_it_probably_was(root: Path) -> None:
    _, (problem,) = read(root, b"Ein Ges\xe4usel")
    assert "UTF-8" in problem.message and '"ä"' in problem.message


@pytest.mark.parametrize("encoding", ["utf-16", "utf-32", "utf-16-be", "utf-16-le"])
def test_wider_encodings_are_told_by_name_or_refused(root: Path, encoding: str) -> None:
    mark = {"utf-16-be": b"\xfe\xff", "utf-16-le": b"\xff\xfe"}.get(encoding, b"")
    text, (problem,) = read(root, mark + "---\ntitle: a".encode(encoding))
    assert text is None and problem.code == "file-encoding"
    assert encoding[:6].upper() in problem.message


@pytest.mark.parametrize(
    "character",
    ["\x00", "\x01", "\x0b", "\x0c", "\x1b", "\x7f", "\x85", "\u200b", "\u2028", "\ufeff"],
)
def test_what_nobody_sees_is_shown_once_and_replaced(root: Path, character: str) -> None:
    text, (problem,) = read(root, f"ab\ncd{character}e{character}f".encode())
    assert text == "ab\ncd e f"
    assert (problem.place.line, problem.place.column) == (2, 3)
    assert f"U+{ord(character):04X}" in problem.message and "1 more" in problem.message


@pytest.mark.parametrize("data", [b"", b"\n \t\r\n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_a_problem(root: Path, data: bytes) -> None:
    text, (problem,) = read(root, data)
    assert text is None and problem.code == "file-empty"


def test_size_has_a_limit(root: Path) -> None:
    assert read(root, b"x" * LARGEST_FILE)[1] == []
    text, (problem,) = read(root, b"x" * (LARGEST_FILE + 1))
    assert text is None and problem.code == "file-size"


def test_what_is_no_file_of_the_handbook_is_not_opened(root: Path, tmp_path: Path) -> None:
    (tmp_path / "secret.md").write_text("secret")
    (root / "out.md").symlink_to(tmp_path / "secret.md")
    (root / "lost.md").symlink_to(root / "nothing.md")
    (root / "circle.md").symlink_to(root / "circle.md")
    (root / "folder.md").mkdir()
    os.mkfifo(root / "pipe.md")  # opening it would wait for ever
    words = {
        "out.md": "out of the handbook",
        "lost.md": "does not exist",
        "circle.md": "cannot be opened",
        "folder.md": "folder",
        "pipe.md": "not an ordinary file",
        "none.md": "no such file",
        "x" * 300 + ".md": "cannot be opened",
    }
    for name, word in words.items():
        text, (problem,) = read_text(root / name, f"handbook/{name}")
        assert text is None and problem.code == "file-missing" and word in problem.message


def test_a_link_within_the_handbook_is_followed(root: Path) -> None:
    (root / "a.md").write_text("text")
    (root / "exercises" / "b.md").symlink_to(root / "a.md")
    assert read_text(root / "exercises" / "b.md", "handbook/exercises/b.md") == ("text", [])


def test_names_can_be_printed(root: Path) -> None:
    bad = root / "exercises" / os.fsdecode(b"a\nb\xff.md")
    shown = shown_path(bad, root)
    assert shown.startswith("handbook/exercises/a") and shown.endswith(".md")
    assert shown.isprintable() and shown.encode()


def test_values_in_messages_are_short() -> None:
    assert clip("a\n b") == "a b"
    assert len(clip("x" * 500)) == 40


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_are_text_or_a_problem(root: Path, data: bytes) -> None:
    text, problems = read(root, data)
    assert text is not None or problems
    assert text is None or ("\r" not in text and "\x00" not in text)
