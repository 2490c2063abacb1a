"""What the checks are given: bars and lines as written, also where the text has problems."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from chorus_handbook.music.score import Score, WrittenLine
from chorus_handbook.problems import Place

Read = Callable[..., tuple[Score | None, list[object]]]


@pytest.fixture
def lines(read: Read) -> Callable[[str], list[WrittenLine]]:
    """The written lines of all blocks of a text."""

    def lines_of(text: str) -> list[WrittenLine]:
        score, _ = read(text)
        assert score is not None
        return [line for block in score.blocks for line in block.lines]

    return lines_of


Lines = Callable[[str], list[WrittenLine]]


def bars(lines: list[WrittenLine]) -> list[list[float]]:
    return [[float(bar.length) for bar in line.bars] for line in lines]


def lengths(lines: list[WrittenLine]) -> list[float]:
    return [float(line.length) for line in lines]


def test_bars_are_kept_as_written(lines: Lines) -> None:
    written = lines("all: 1 2 3 | 4 5 6 7 1' | 5 - - -")
    assert bars(written) == [[3, 5, 4]]
    assert lengths(written) == [12]
    assert [bar.place for bar in written[0].bars] == [
        Place("case.md", 1, column) for column in (6, 14, 27)
    ]
    assert written[0].place == Place("case.md", 1, 1)
    assert written[0].voices == ("soprano", "alto", "tenor", "bass")


def test_a_misfit_does_not_keep_a_text_from_being_read(score_of: Callable[..., Score]) -> None:
    score = score_of("soprano: 1 2 3 | 4 - - - |\nalto: 1 - - - |\nwords: too ma-ny")
    assert [part.voice for part in score.parts] == ["soprano", "alto"]
    assert all(part.events[-1].end == score.length == 7 for part in score.parts)
    assert score.bar_starts == (0, 4)


def test_every_part_fills_the_score_without_gaps(score_of: Callable[..., Score]) -> None:
    score = score_of("alto: 1 2\n\nsoprano: 1 - - 4 | 5\nbass: 1 ...\n\nall: 0 1 - 3 |")
    for part in score.parts:
        assert part.events[0].onset == 0
        for event, following in zip(part.events, part.events[1:], strict=False):
            assert event.end == following.onset
        assert part.events[-1].end == score.length


def test_bars_under_three_dots_count_as_right(lines: Lines) -> None:
    written = lines("alto: 1 2 3 ...\nsoprano: 1 2 3 4 | 5 - - |\nbass: 1 - | 3 ...")
    assert bars(written) == [[4], [4, 3], [2, 4]]
    assert lengths(written) == [7, 7, 7]


def test_three_dots_reach_at_least_the_end_of_their_bar(lines: Lines) -> None:
    assert lengths(lines("alto: 1 2 3 4 | 5 ...\nsoprano: 1 2 3 4 |")) == [8, 4]
    assert lengths(lines("alto: 1 2 3 4 5 ...")) == [8]
    assert lengths(lines("alto: 1 2 3 4 ...")) == [4]
    assert lengths(lines("alto: 1 2 3 4 | 5 ...\nsoprano: 1 ...")) == [8, 8]
    # but not beyond the end that another line gives that bar
    assert lengths(lines("pickup: 1\nalto: 5, | 1 ...\nsoprano: 5, | 1 2 3 |")) == [4, 4]


def test_three_dots_after_a_staggered_breath_may_prolong_by_nothing(
    score_of: Callable[..., Score],
) -> None:
    (alto,) = score_of("alto: 1 2 3 4 v? ...").parts
    assert (alto.notes[-1].breath, alto.notes[-1].staggered) == ("staggered", ())
    (alto,) = score_of("alto: 1 2 3 v? ...").parts
    assert (alto.notes[-1].breath, alto.notes[-1].staggered) == (None, (1,))


def test_three_dots_in_the_pickup_end_with_it(lines: Lines) -> None:
    written = lines("pickup: 1\nalto: 5, ...\n\nalto: 1 - - - |")
    assert bars(written) == [[1], [4]]


def test_in_free_meter_bars_tell_how_often_the_lines_meet(lines: Lines) -> None:
    written = lines("meter: free\nsoprano: 1 2 3 | 4\nalto: 1 | 2 3 | 4\nbass: 1 ...")
    assert bars(written) == [[3, 1], [1, 2, 1], [3, 2, 1]]
    assert lengths(written) == [6, 6, 6]


def test_three_dots_that_add_no_time_begin_no_bar(score_of: Callable[..., Score]) -> None:
    assert score_of("meter: free\nall: 1 2 | ...").bar_starts == (0,)


def test_only_a_block_after_a_short_one_begins_with_the_pickup(
    score_of: Callable[..., Score],
) -> None:
    short = "pickup: 1\nall: 5, | 1 2 3 |\n\n"
    full = "pickup: 1\nall: 5, | 1 2 3 4 |\n\n"
    again = "all: 5, | 1 2 3 4 |"
    assert score_of(short + again).bar_starts == (0, 1, 4, 5)
    assert score_of(full + again).bar_starts == (0, 1, 5, 9)
    assert score_of(short + "all: 1 2 3 4 |").bar_starts == (0, 1, 4)


def test_blocks_know_when_they_begin(score_of: Callable[..., Score]) -> None:
    score = score_of("meter: 3/4\nall: 1 2 3 |\n\nall: 1 - - | 1 - - |\n\nall: 1 - - |")
    assert [block.onset for block in score.blocks] == [0, 3, 9]


def test_words_are_counted_for_every_line_they_serve(lines: Lines) -> None:
    soprano, alto = lines(
        "words: one two\nsoprano: 1 2 3 - |\nalto: 1 2 0 - |\nwords: a b c\nwords: d ..."
    )
    assert (soprano.notes, alto.notes) == (3, 2)
    assert [verse.slots for verse in soprano.verses] == [2]
    assert soprano.verses[0].place == Place("case.md", 1, 1)
    assert soprano.verses[0].surplus is None
    assert [(v.slots, v.surplus) for v in alto.verses] == [
        (3, Place("case.md", 4, 12)),
        (2, None),
    ]


def test_a_line_of_rests_takes_no_default_words(lines: Lines) -> None:
    resting, singing = lines("words: la\nalto: 0 - - - |\nbass: 1 - - - |")
    assert resting.verses == ()
    assert len(singing.verses) == 1


# From here on: texts with problems give a draft, so that the checks can go on elsewhere.


def test_a_draft_has_no_parts(read: Read) -> None:
    score, problems = read("all: 1 2 3 oops | 5 - - - |")
    assert problems
    assert score is not None
    assert score.parts == ()
    assert len(score.blocks) == 1


def test_a_bar_with_an_unread_token_counts_as_right(lines: Lines) -> None:
    written = lines("soprano: 1 2 oops | 4 5 | 5 - - - |\nalto: 1 - | 3 - - - |")
    assert bars(written) == [[4, 2, 4], [2, 4]]
    # and so does the length of its line: it is held to be that of the others
    assert lengths(written) == [6, 6]


def test_words_of_a_line_with_an_unread_token_are_not_counted(lines: Lines) -> None:
    soprano, alto = lines("words: la\nsoprano: 1 oops 2 3 |\nalto: 1 2 3 4 |")
    assert soprano.verses == ()
    assert [verse.slots for verse in alto.verses] == [1]


def test_words_with_problems_are_not_counted(lines: Lines) -> None:
    assert lines("all: 1 2 3 4 |\nwords: _ la")[0].verses == ()


def test_words_below_a_lost_line_are_lost_with_it(lines: Lines) -> None:
    (line,) = lines("all: 1 2 3 4 |\nsoprano 1 2 3 4 |\nwords: la")
    assert line.verses == ()


def test_a_glued_bar_line_still_ends_the_bar(lines: Lines) -> None:
    assert bars(lines("all: 1 2 3 4| 5 6 |7 1' - -")) == [[4, 2, 4]]


def test_a_line_that_nobody_sings_is_still_counted(lines: Lines) -> None:
    written = lines("sopranos: 1 2 3 | 4 - - - |\nalto: 1 - - - |")
    assert [line.voices for line in written] == [("sopranos",), ("alto",)]
    assert bars(written) == [[3, 4], [4]]


@pytest.mark.parametrize(
    "text",
    [
        "meter: 4/5\nall: 1 2 3 |",  # nobody knows what a bar is
        "metre: 3/4\nall: 1 2 3 |",
        "all: 1 2 3 |\nmeter: 3/4",
        "all 1 2 3",
        "",
    ],
)
def test_without_a_header_or_a_line_there_is_no_draft(read: Read, text: str) -> None:
    score, problems = read(text)
    assert score is None
    assert problems


def test_problems_of_a_whole_text_come_at_once(codes: Callable[..., list[str]]) -> None:
    text = "mode: mayor\nall: 12 3 v -\n\ntenr: 1 2\nwords: _\n\nall: 1 9\n5 4 3\nall:"
    assert codes(text) == [
        "1:1 notation-header",
        "2:6 notation-token",
        "2:13 notation-token",
        "4:1 notation-voice",
        "5:8 notation-token",
        "7:8 notation-token",
        "8:1 notation-line",
        "9:1 notation-line",
        "9:1 notation-voice",
    ]
