"""`handbook/static/`: what is published as it is, and what never is."""

from __future__ import annotations

import os
import struct
import zlib
from pathlib import Path

import pytest

from chorus_handbook.entries.static_files import FOLDER, belongs_in_static, read_static


def png() -> bytes:
    """A picture of one grey dot, by the PNG specification (W3C), sections 5 and 11."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    dot = zlib.compress(b"\0\x80")
    chunks = chunk(b"IHDR", head) + chunk(b"IDAT", dot) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + chunks


ICO = struct.pack("<HHHBBBBHHII", 0, 1, 1, 1, 1, 0, 0, 1, 32, len(png()), 22) + png()
GOOD = {
    "CNAME": b"handbook.example.org\n",
    "robots.txt": b"User-agent: *\nDisallow:\n",
    ".nojekyll": b"",
    "favicon.ico": ICO,
    "apple-touch-icon.png": png(),
    ".well-known/security.txt": b"Contact: mailto:chorus@example.org\n",
    ".well-known/nodeinfo.json": b"{}",
    ".well-known/acme-challenge/token-1_2": b"token",
}


@pytest.fixture
def root(tmp_path: Path) -> Path:
    folder = tmp_path / "handbook"
    (folder / FOLDER).mkdir(parents=True)
    return folder


def put(root: Path, path: str, content: bytes = b"x") -> None:
    file = root / FOLDER / path
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content)


def refused(root: Path) -> list[tuple[str, str, str]]:
    """Where, what is wrong, what to do; nothing that is refused is published."""
    static, problems = read_static(root)
    assert {p.code for p in problems} <= {"static-file"}
    shown = {p.place.path.removeprefix(f"handbook/{FOLDER}/") for p in problems}
    assert not shown & {*static.files}
    return [(p.place.path, p.message, p.hint) for p in problems]


def test_a_handbook_without_the_folder_has_none(tmp_path: Path) -> None:
    static, problems = read_static(tmp_path)
    assert (dict(static.files), problems) == ({}, [])


def test_the_kinds_that_are_published(root: Path) -> None:
    for path, content in GOOD.items():
        put(root, path, content)
    static, problems = read_static(root)
    assert problems == [] and dict(static.files) == GOOD
    assert all(map(belongs_in_static, GOOD))


@pytest.mark.parametrize(
    "path",
    [
        *("index.html", "page.HTM", "logo.svg", "script.js", "module.mjs", "feed.xml", "a.xhtml"),
        *("sitemap.xml", "404.html", "style.css", "notes.md", "views.yml", "_headers", "robot.txt"),
        *("cname", "Robots.txt", "favicon.PNG", "a b.png", "böje.png", ".htaccess", ".env"),
        *("icons/a.png", "assets/handbook/index.json", ".well-known/a.html", ".well-known/a.svg"),
        *(".well-known/a.xml", ".well-known/a.js", ".well-known", "CNAME/x", ".nojekyll/x"),
    ],
)
def test_anything_else_is_a_problem_with_its_place(root: Path, path: str) -> None:
    put(root, path, GOOD.get("favicon.ico", b"x"))
    ((place, message, hint),) = refused(root)
    assert place == f"handbook/{FOLDER}/{path}"
    assert message == f'The file "{path}" is not allowed in the folder "static/".'
    assert hint.endswith(".")
    assert not belongs_in_static(path)


@pytest.mark.parametrize(
    ("path", "hint"),
    [
        (
            "icons/a.png",
            'Move it directly into the folder "static/": browsers look for it only at the top',
        ),
        ("pier.jpg", "Move it to another folder of the handbook, from which it is published"),
        ("cname", "Write its name without spaces and accents, and with capital and small"),
        ("notes.md", "Remove it. These files are allowed: CNAME, robots.txt, .nojekyll, icons"),
    ],
)
def test_the_hint_says_where_it_belongs(root: Path, path: str, hint: str) -> None:
    put(root, path)
    assert refused(root)[0][2].startswith(hint)


@pytest.mark.parametrize("path", ["robots.txt", ".well-known/token", ".well-known/a.json"])
@pytest.mark.parametrize(
    "content",
    [b"<html>", b" \t\r\n<!DOCTYPE HTML>", b"\xef\xbb\xbf<script>", b"<?xml version='1.0'?>"],
)
def test_a_page_in_disguise_is_refused(root: Path, path: str, content: bytes) -> None:
    put(root, path, content)
    assert "begins like a web page" in refused(root)[0][1]


@pytest.mark.parametrize("path", ["favicon.ico", "favicon.png"])
def test_an_icon_is_what_its_name_says(root: Path, path: str) -> None:
    put(root, path, b"<svg xmlns='http://www.w3.org/2000/svg'/>")
    assert "but the file is not in the format" in refused(root)[0][1]


@pytest.mark.parametrize(
    ("content", "meant"),
    [
        (b"https://handbook.example.org/", "handbook.example.org"),
        (b"Handbook.Example.org/", "handbook.example.org"),
        (b"", "handbook.example.org"),
        (b"one.example.org\ntwo.example.org", "handbook.example.org"),
        (b"-a.example.org", "handbook.example.org"),
        (b"localhost", "handbook.example.org"),
    ],
)
def test_a_cname_names_one_host(root: Path, content: bytes, meant: str) -> None:
    put(root, "CNAME", content)
    hint = f'Write only the name under which the site is published, such as "{meant}".'
    assert refused(root)[0][2] == hint


def test_large_files_are_refused_unread(root: Path) -> None:
    put(root, "robots.txt", b"x" * (64 * 1024 + 1))
    put(root, "CNAME", b"x" * 257)
    put(root, "a.png", png() + b"x" * 512 * 1024)
    assert [message for _, message, _ in refused(root)] == [
        "This file is larger than 256 bytes.",
        "This file is larger than 512 kB.",
        "This file is larger than 64 kB.",
    ]


def test_text_is_utf_8(root: Path) -> None:
    put(root, "robots.txt", b"# B\xf6je\n")
    assert "not text in UTF-8" in refused(root)[0][1]


def test_links_and_pipes_are_refused(root: Path, tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("secret")
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "a.png").write_bytes(png())
    static = root / FOLDER
    (static / "CNAME").symlink_to(tmp_path / "secret")
    (static / "robots.txt").symlink_to(static / "CNAME")
    (static / ".well-known").symlink_to(tmp_path / "folder")
    os.mkfifo(static / "a.png")
    assert [message for _, message, _ in refused(root)] == [
        "This is a symbolic link to another file; links are not published.",
        "This is a symbolic link to another file; links are not published.",
        "This is not an ordinary file.",
        "This is a symbolic link to another file; links are not published.",
    ]
    (tmp_path / "elsewhere").mkdir()
    static.rename(tmp_path / "aside")
    static.symlink_to(tmp_path / "elsewhere")
    assert refused(root)[0][:2] == ("handbook/static", '"static" is not a folder.')


def test_a_file_in_place_of_the_folder(root: Path) -> None:
    (root / FOLDER).rmdir()
    (root / FOLDER).write_text("x")
    assert refused(root)[0][1] == '"static" is not a folder.'


def test_two_files_for_one_place(root: Path) -> None:
    put(root, "favicon.png", png())
    (root / "favicon.png").write_bytes(png())
    message = 'The file "handbook/favicon.png" is published under the same address.'
    assert refused(root)[0][1] == message


def test_too_many_files(root: Path) -> None:
    for number in range(101):
        put(root, f".well-known/{number}")
    static, problems = read_static(root)
    assert [p.message for p in problems] == [
        "There are 101 files in this folder, but at most 100 are allowed."
    ], static


def test_what_systems_and_editors_leave_is_passed_over(root: Path) -> None:
    for name in (".DS_Store", "Thumbs.db", "CNAME~", "#CNAME#", ".CNAME.swp", "._a", ".gitkeep"):
        put(root, name)
    static, problems = read_static(root)
    assert (dict(static.files), problems) == ({}, [])
