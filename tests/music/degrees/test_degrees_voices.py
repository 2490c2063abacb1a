"""Who sings a line, and who shares one."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from chorus_handbook.music.score import Score

Reader = Callable[..., Score]


@pytest.mark.parametrize(
    ("text", "shares", "one_staff"),
    [
        ("all: 1 - - - |", "soprano alto tenor bass", False),
        ("soprano+alto: 1 - - - |", "soprano alto", True),
        ("alto+soprano: 1 - - - |", "soprano alto", True),
        ("upper: 1 - - - |", "soprano alto", False),
        ("soprano: 1 - - - |\nalto: 1 - - - |", "soprano", False),
        ("soprano+alto: 1 - - - |\n\nupper: 3 - - - |", "soprano alto", True),
        # joined once, and parted later
        ("soprano+alto: 1 - - - |\n\nsoprano: 3 - - - |\nalto: 1 - - - |", "soprano", False),
        ("soprano+alto: 1 - - - |\n\nsoprano: 3 - - - |", "soprano", False),
    ],
)
def test_shares_are_the_voices_of_one_line_from_start_to_end(
    score_of: Reader, text: str, shares: str, one_staff: bool
) -> None:
    soprano = next(part for part in score_of(text).parts if part.voice == "soprano")
    assert soprano.shares == tuple(shares.split())
    assert soprano.same_staff is one_staff


def test_each_voice_counts_its_own_attacks(score_of: Reader) -> None:
    score = score_of("all: 1 x 0 - |\n\nbass: 1 2 - 3 |\n\nall: 1 - - - |")
    ids = {part.voice: [note.id for note in part.notes] for part in score.parts}
    assert ids["soprano"] == ["soprano-1", "soprano-2", "soprano-3"]
    assert ids["bass"] == [f"bass-{number}" for number in range(1, 7)]


def test_a_misspelt_name_leaves_others_alone(codes: Callable[..., list[str]]) -> None:
    text = "uper: 1 - - - |\nupper: 1 - - - |\nlower: 1 - - - |\nothers: 1 - - - |"
    assert codes(text) == ["1:1 notation-voice"]


def test_a_voice_without_a_line_has_no_part(score_of: Reader) -> None:
    assert [part.voice for part in score_of("bass: 0 - - - |").parts] == ["bass"]


def test_notes_know_where_they_stand(score_of: Reader) -> None:
    (part,) = score_of("meter: 2/4\n\nbass: 1.#2 3 |").parts
    assert [(note.place.line, note.place.column) for note in part.notes] == [
        (3, 7),
        (3, 9),
        (3, 12),
    ]
