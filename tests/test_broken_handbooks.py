"""Whole handbooks with something wrong, and the problems expected.

Each folder of `broken_handbooks/` holds the files that differ from the valid base (the fixture
`project`) and `problems.txt`, with a line a problem: `path:line:column severity[code]`. A new case
is a new folder.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chorus_handbook.pipeline import check
from chorus_handbook.problems import Problem

CASES = sorted(p for p in (Path(__file__).parent / "broken_handbooks").iterdir() if p.is_dir())


def shown(problem: Problem) -> str:
    place = problem.place
    path = place.path.removeprefix("handbook/")
    return f"{path}:{place.line}:{place.column} {problem.severity}[{problem.code}]"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_broken_handbook_says_what_is_wrong(
    project: Path, case: Path, handbook: Callable[..., tuple[int, str, str]]
) -> None:
    root = project / "handbook"
    shutil.copytree(case, root, dirs_exist_ok=True, ignore=shutil.ignore_patterns("problems.txt"))
    expected = (case / "problems.txt").read_text(encoding="utf-8").splitlines()
    problems = check(root)
    assert [shown(problem) for problem in problems] == expected
    assert all(problem.message and problem.hint for problem in problems)

    code, out, err = handbook("--project", project, "build", "--strict")
    assert code == 1 and "Traceback" not in out + err
    assert not (project / "site").exists()


LOW_TIDE = Path("handbook") / "exercises" / "low-tide.md"


def with_bytes(project: Path, old: bytes, new: bytes) -> list[str]:
    data = (project / LOW_TIDE).read_bytes()
    assert old in data
    (project / LOW_TIDE).write_bytes(data.replace(old, new, 1))
    return [shown(problem) for problem in check(project / "handbook")]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (b"Hum it", b"Hum \x00it", ["exercises/low-tide.md:22:8 error[file-character]"]),
        (b"Hum it", b"Hum \xff\xfeit", ["exercises/low-tide.md:22:8 error[file-encoding]"]),
        (b"A hum", b"Ein Ges\xe4usel", ["exercises/low-tide.md:3:17 error[file-encoding]"]),
        (b"Hum it", b"Hum \xe2\x80\x8bit", ["exercises/low-tide.md:22:8 error[file-character]"]),
    ],
)
def test_bytes_that_are_no_text_are_shown_with_their_place(
    project: Path, old: bytes, new: bytes, expected: list[str]
) -> None:
    assert with_bytes(project, old, new) == expected


def test_a_byte_order_mark_and_other_line_ends_change_nothing(project: Path) -> None:
    data = (project / LOW_TIDE).read_bytes()
    for written in (
        b"\xef\xbb\xbf" + data,
        data.replace(b"\n", b"\r\n"),
        data.replace(b"\n", b"\r"),
    ):
        (project / LOW_TIDE).write_bytes(written)
        assert check(project / "handbook") == []


def test_columns_hold_behind_a_byte_order_mark(project: Path) -> None:
    data = (project / LOW_TIDE).read_bytes().replace(b"impact: 2", b"impact: 9")
    (project / LOW_TIDE).write_bytes(b"\xef\xbb\xbf" + data.replace(b"\n", b"\r\n"))
    assert [shown(p) for p in check(project / "handbook")] == [
        "exercises/low-tide.md:5:9 error[field-value]"
    ]


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "file-empty"),
        (b" \n\t\n", "file-empty"),
        (b"x" * 300_000, "file-size"),
        (b"\xff\xfe-\x00-\x00", "file-encoding"),
        (b"\x1f\x8b\x08\x00", "file-encoding"),
    ],
)
def test_files_that_are_no_exercises(project: Path, content: bytes, code: str) -> None:
    (project / LOW_TIDE).write_bytes(content)
    assert {problem.code for problem in check(project / "handbook")} == {code}


def test_links_and_folders_in_place_of_files(project: Path) -> None:
    (project / "secret.md").write_text("secret", encoding="utf-8")
    (project / LOW_TIDE).unlink()
    (project / LOW_TIDE).symlink_to(project / "secret.md")
    (project / "handbook" / "exercises" / "folder.md").mkdir()
    problems = check(project / "handbook")
    assert {problem.place.path for problem in problems} == {
        "handbook/exercises/folder.md",
        "handbook/exercises/low-tide.md",
    }
    assert "secret" not in "".join(problem.message for problem in problems)


BOMBS = {
    "brackets": "[" * 20_000,
    "emphasis": "*_" * 10_000,
    "quotes": ">" * 1_000 + " a",
    "lists": "\n".join(" " * (2 * level) + "- a" for level in range(150)),
    "tags": "<" * 20_000,
    "ticks": "`" * 20_001,
    "length": "word " * 20_000,
    "links": "[a](" * 8_000,
    "images": "![" * 10_000,
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_a_text_that_would_choke_markdown_is_refused(project: Path, bomb: str) -> None:
    with_bytes(project, b"1. Hum it.", BOMBS[bomb].encode())
    codes = {problem.code for problem in check(project / "handbook")}
    assert "markdown-depth" in codes


@pytest.mark.parametrize(
    "file", ["exercises/low-tide.md", "chorus.yml", "vocabulary.yml", "views.yml"]
)
@pytest.mark.parametrize("bomb", ["[" * 100_000, "{a: " * 20_000, "- " * 50_000, "? " * 20_000])
def test_yaml_bombs_are_problems(project: Path, file: str, bomb: str) -> None:
    text = f"---\ntitle: {bomb}\n---\n" if file.endswith(".md") else f"name: {bomb}\n"
    (project / "handbook" / file).write_text(text, encoding="utf-8")
    assert check(project / "handbook")


quick = settings(
    max_examples=settings.default.max_examples // 2,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
FILES = st.sampled_from(
    ["exercises/low-tide.md", "chorus.yml", "vocabulary.yml", "views.yml", "index.md"]
)


@quick
@given(file=FILES, content=st.binary(max_size=400))
def test_any_bytes_are_read_or_are_problems(project: Path, file: str, content: bytes) -> None:
    path = project / "handbook" / file
    before = path.read_bytes() if path.exists() else b"- slug: x"
    path.write_bytes(content)
    check(project / "handbook")
    path.write_bytes(before[: len(before) // 2] + content + before[len(before) // 2 :])
    check(project / "handbook")
    path.write_bytes(before)


@quick
@given(
    file=FILES,
    cut=st.tuples(st.floats(0, 1), st.floats(0, 1)),
    piece=st.sampled_from(
        [
            "",
            ":",
            "- ",
            "[",
            "]",
            "{",
            "'",
            '"',
            "\n",
            "---\n",
            "```degrees\n",
            "|",
            "~",
            "...",
            "#",
        ]
    ),
)
def test_any_slip_of_the_hand_is_read_or_is_a_problem(
    project: Path, file: str, cut: tuple[float, float], piece: str
) -> None:
    path = project / "handbook" / file
    if not path.exists():
        path.write_text("- slug: a\n  title: A\n  intro: B\n  where: {impact: at most 2}\n")
    before = path.read_text(encoding="utf-8")
    low, high = sorted(round(at * len(before)) for at in cut)
    path.write_text(before[:low] + piece + before[min(high, low + 9) :], encoding="utf-8")
    check(project / "handbook")
    path.write_text(before, encoding="utf-8")
