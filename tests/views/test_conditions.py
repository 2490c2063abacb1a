"""Conditions as authors write them, against a naive reading of the same words."""

import json
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.views.conditions import ConditionError, read_condition
from chorus_handbook.views.evaluate import meets
from chorus_handbook.views.fields import FIELDS

tenths = st.integers(min_value=1, max_value=600)


@pytest.mark.parametrize(
    ("name", "value", "test", "values"),
    [
        ("impact", 2, "one-of", [2]),
        ("impact", "2", "one-of", [2]),
        ("impact", [1, 5], "one-of", [1, 5]),
        ("minutes", 2.5, "one-of", [2500]),
        ("impact", "at most 1", "between", [None, 1]),
        ("impact", "at least 5", "between", [5, None]),
        ("impact", "between 2 and 2", "between", [2, 2]),
        ("impact", "At  most 2", "between", [None, 2]),
        ("tempo", "between 60 and 90", "between", [60000, 90000]),
        ("largest_leap", "at least A4", "between", [6, None]),
        ("range", ["P5", 8], "one-of", [7, 8]),
        ("lowest", "at least Bb3", "between", [58, None]),
        ("step_share", "at least 80 %", "between", [800, None]),
        ("step_share", "0.8", "one-of", [800]),
        ("impact", "not 3", "none-of", [3]),
        ("motion", "not steps", "none-of", ["steps"]),
        ("title", "Slack  water", "one-of", ["Slack water"]),
        ("cue", "stated", "stated", []),
        ("cue", "not stated", "not-stated", []),
        ("notated", True, "one-of", [True]),
        ("notated", "No", "one-of", [False]),
        ("notated", "not yes", "none-of", [True]),
    ],
)
def test_readings(name, value, test, values):
    read = read_condition(name, value, None)
    assert read == {"field": name, "test": test, "values": values}
    assert json.loads(json.dumps(read)) == read


@pytest.mark.parametrize(("form", "holds"), [("at most", int.__le__), ("at least", int.__ge__)])
@given(value=tenths, bound=tenths)
def test_bounds_agree_with_plain_comparison(form, holds, value, bound):
    condition = read_condition("minutes", f"{form} {bound / 10:.1f}", None)
    assert meets({"minutes": round(Fraction(value, 10) * 1000)}, condition) is holds(value, bound)


@given(value=tenths, first=tenths, last=tenths)
def test_between_is_both_bounds(value, first, last):
    low, high = sorted((first, last))
    condition = read_condition("minutes", f"between {low / 10:.1f} and {high / 10:.1f}", None)
    assert meets({"minutes": value * 100}, condition) is (low <= value <= high)


@pytest.mark.parametrize(
    ("known", "hint"),
    [
        (("hum", "ng"), 'Write one of these: "hum", "ng".'),
        ((), 'Check the spelling: no exercise can have this after "sounding:".'),
        (tuple(f"w{n}" for n in range(500)), "Check the spelling"),
    ],
)
def test_an_unknown_word_is_told_which_there_are(known, hint):
    with pytest.raises(ConditionError, match='"sounding" cannot be') as wrong:
        read_condition("sounding", "x", known)
    assert wrong.value.hint.startswith(hint)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 1e300, -1, 10**30, "1" * 5000])
def test_numbers_out_of_all_bounds_are_refused(value):
    with pytest.raises(ConditionError):
        read_condition("passes", value, None)


atoms = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30)
words = st.sampled_from(["at most ", "at least ", "between 1 and ", "not ", "not stated", "stated"])


@given(
    name=st.sampled_from(sorted(FIELDS)),
    value=atoms
    | st.lists(atoms, max_size=3)
    | st.dictionaries(st.text(max_size=3), atoms, max_size=2)
    | st.builds(str.__add__, words, st.text(max_size=10)),
    known=st.none() | st.just(("hum", "steps")),
)
def test_anything_is_read_or_refused_in_words(name, value, known):
    try:
        condition = read_condition(name, value, known)
    except ConditionError as wrong:
        assert str(wrong)
        assert wrong.hint
    else:
        assert json.loads(json.dumps(condition)) == condition
        meets({name: None}, condition)
