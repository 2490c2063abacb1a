"""Syllables against notes."""

from chorus_handbook.claims.syllables import check_syllables


def found(make, *lines):
    return list(check_syllables(make.score(lines=lines)))


def test_exact_words_pass(make):
    assert found(make, make.line("alto", 4, notes=4, slots=[4, 4])) == []


def test_too_few(make):
    (problem,) = found(make, make.line("alto", 4, notes=4, slots=[4, 3]))
    assert (problem.code, problem.place.line) == ("syllable-count", 22)
    assert problem.message == "There are syllables for 3 notes, but alto has 4: 1 syllable too few."
    assert "..." in problem.hint


def test_too_many(make):
    (problem,) = found(make, make.line("alto+bass", 4, notes=1, slots=[4]))
    assert (
        problem.message
        == "There are syllables for 4 notes, but alto and bass have 1: 3 syllables too many."
    )


def test_words_for_several_lines_are_told_once(make):
    lines = [make.line(voice, 4, notes=4, slots=[3]) for voice in ("alto", "tenor")]
    (problem,) = found(make, *lines)
    assert "alto and tenor have 4" in problem.message
