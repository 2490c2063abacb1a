"""The voices stated against the chorus and against the notation."""

import pytest

from chorus_handbook.claims.voices import check_voices


def singing(make, *voices):
    return make.score(*(make.part(voice, 1, 2) for voice in voices))


@pytest.mark.parametrize(
    ("stated", "voices"),
    [
        ("all", ["soprano", "alto", "tenor", "bass"]),
        ("alto", ["alto"]),
        ("upper", ["soprano", "alto"]),
        (["bass", "upper"], ["soprano", "alto", "bass"]),
        (["alto"], ["leader", "alto"]),
    ],
)
def test_true_claims_pass(make, stated, voices):
    subject = make.subject(singing(make, *voices), voices=stated)
    assert list(check_voices(subject)) == []


def test_spoken_parts_have_notes_and_silent_parts_none(make):
    score = make.score(make.part("alto", "x", "x"), make.part("bass", 0, 0))
    assert list(check_voices(make.subject(score, voices=["alto"]))) == []


def test_too_many_and_too_few_are_both_told(make):
    score = singing(make, "soprano", "alto")
    (problem,) = check_voices(make.subject(score, voices=["soprano", "tenor", "bass"]))
    assert problem.code == "voices-claim"
    assert problem.message == (
        'The field "voices" does not match the notes: tenor and bass have no notes; '
        "alto has notes and is not named there."
    )
    assert "voices: [soprano, alto]" in problem.hint


def test_everyone_is_suggested_as_all(make):
    score = singing(make, "soprano", "alto", "tenor", "bass")
    (problem,) = check_voices(make.subject(score, voices="upper"))
    assert "voices: all" in problem.hint


def test_no_notes_at_all(make):
    (problem,) = check_voices(make.subject(make.score(make.part("alto", 0)), voices="alto"))
    assert "Write notes for the voices that it names" in problem.hint


def test_unknown_name_points_at_its_item_and_guesses(make):
    (problem,) = check_voices(make.subject(voices=["alto", "sopranos"]))
    assert (problem.code, problem.place.column) == ("word-unknown", 11)
    assert 'Did you mean "soprano"?' in problem.message


def test_leader_is_no_voice(make):
    (problem,) = check_voices(make.subject(voices="leader"))
    assert problem.code == "word-unknown"
    assert 'Delete "leader"' in problem.hint


def test_without_notation_only_names_are_checked(make):
    assert list(check_voices(make.subject(voices="all"))) == []
    assert list(check_voices(make.subject())) == []


@pytest.mark.parametrize(
    ("name", "meant"), [("everyone", "all"), ("tutti", "all"), ("S", "soprano"), ("altos", "alto")]
)
def test_what_other_choruses_say_is_guessed(make, name, meant):
    (problem,) = check_voices(make.subject(voices=[name]))
    assert problem.message.endswith(f'Did you mean "{meant}"?')
