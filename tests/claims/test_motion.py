"""The motion claim against the intervals from note to note."""

import pytest

from chorus_handbook.claims.motion import check_motion

STEPWISE = {0: 2, 1: 1, 2: 5}
SKIPPING = {2: 3, 4: 1}
LEAPING = {2: 3, 7: 1}


def found(make, motion, intervals, leap=None, *, glide=False):
    tokens = (1, "~", 5) if glide else (1, 5)
    facts = make.facts(
        {"alto": {"intervals": intervals} | ({} if leap is None else {"leap": leap})}
    )
    subject = make.subject(make.score(make.part("alto", *tokens)), facts, motion=motion)
    return list(check_motion(subject))


@pytest.mark.parametrize(
    ("motion", "intervals"),
    [
        ("repeats", {0: 3}),
        ("steps", STEPWISE),
        ("steps", {1: 2}),
        ("skips", SKIPPING),
        ("skips", {3: 2}),
        ("leaps", LEAPING),
        ("leaps", {5: 1}),
        ("mixed", {0: 3}),
    ],
)
def test_true_claims_pass(make, motion, intervals):
    assert found(make, motion, intervals) == []


@pytest.mark.parametrize(
    ("motion", "intervals"),
    [
        ("repeats", {0: 3, 1: 1}),
        ("steps", SKIPPING),
        ("steps", {0: 3}),
        ("steps", {}),
        ("skips", STEPWISE),
        ("skips", {4: 1, 5: 1}),
        ("leaps", SKIPPING),
        ("glide", LEAPING),
    ],
)
def test_false_claims_are_notices(make, motion, intervals):
    (problem,) = found(make, motion, intervals)
    assert (problem.code, problem.severity) == ("motion-claim", "notice")


def test_a_glided_fifth_is_a_glide_and_no_leap(make):
    assert found(make, "glide", {7: 1}, 0, glide=True) == []
    (problem,) = found(make, "leaps", {7: 1}, 0, glide=True)
    assert "motion: glide" in problem.hint


def test_message_tells_the_measured_shares(make):
    facts = make.facts(
        {"soprano": {"intervals": {1: 1, 2: 1}}, "alto": {"intervals": {0: 1, 7: 1}}}
    )
    score = make.score(make.part("soprano", 1, 2, 3), make.part("alto", 1, 1, 5))
    (problem,) = check_motion(make.subject(score, facts, motion="steps"))
    assert problem.message == (
        'The motion is stated as "steps", but the moves from note to note are 25 % repeated notes, '
        "50 % steps and 25 % wider moves; the widest is a fifth, in alto."
    )
    assert '"motion: leaps" or "motion: mixed"' in problem.hint


def test_a_fourth_is_wider_than_a_third(make):
    (problem,) = found(make, "steps", {3: 1, 4: 1, 5: 2})
    assert "50 % thirds and 50 % wider moves; the widest is a fourth" in problem.message


def test_one_note_does_not_move(make):
    facts = make.facts({"alto": {"intervals": {}}})
    (problem,) = check_motion(
        make.subject(make.score(make.part("alto", 1)), facts, motion="repeats")
    )
    assert "no voice moves" in problem.message


def test_the_leader_does_not_count(make):
    facts = make.facts({"leader": {"intervals": {7: 1}}, "alto": {"intervals": {2: 1}}})
    score = make.score(make.part("leader", 1, 5), make.part("alto", 1, 2))
    assert list(check_motion(make.subject(score, facts, motion="steps"))) == []
