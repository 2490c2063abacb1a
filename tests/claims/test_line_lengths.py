"""Lines of a block against each other."""

from chorus_handbook.claims.line_lengths import check_line_lengths
from chorus_handbook.music.score import Meter


def found(make, *lines, **score):
    return list(check_line_lengths(make.score(lines=lines, **score)))


def test_equal_lines_pass(make):
    assert found(make, make.line("alto", 4), make.line("bass", 4)) == []


def test_the_odd_one_is_named_whatever_its_place(make):
    lines = [
        make.line("soprano", 4, 3, row=20),
        make.line("alto", 4, 4, row=21),
        make.line("tenor+bass", 4, 4, row=22),
    ]
    (problem,) = found(make, *lines)
    assert (problem.code, problem.place.line) == ("voice-length", 20)
    assert (
        problem.message
        == "The line for soprano has 7 beats, but the line for alto, sung at the same time, has "
        "8 beats."
    )


def test_of_two_the_second_is_named(make):
    (problem,) = found(make, make.line("alto", 4), make.line("bass+tenor", 1))
    assert (
        problem.message
        == "The line for bass and tenor has 1 beat, but the line for alto, sung at the same time, "
        "has 4 beats."
    )


def test_free_meter_counts_bars(make):
    free = Meter(0)
    same = (make.line("alto", 4, 3), make.line("bass", 2, 1))
    assert found(make, *same, meter=free) == []
    lines = (make.line("alto", 4, 3), make.line("bass", 7))
    (problem,) = found(make, *lines, meter=free)
    assert (
        problem.message
        == "The line for bass has 1 bar, but the line for alto, sung at the same time, has 2 bars."
    )


def test_blocks_are_compared_each_by_itself(make):
    blocks = [[make.line("alto", 4)], [make.line("alto", 4, 4)]]
    assert list(check_line_lengths(make.score(blocks=blocks))) == []
