"""Values against a typed model: every error at its field, in an author's words."""

from __future__ import annotations

import json
from typing import Annotated, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field

from chorus_handbook.chorus.model import Chorus, Line, Model, Name, Range, Vocabulary
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import read_yaml, validate


class Boat(Model):
    """A group of fields inside another."""

    name: Annotated[Line, Field(max_length=20, description="What is painted on it.")]
    crew: Annotated[int, Field(ge=1, le=9, description="How many row.")] = 1


class Form(Model):
    """One field of every kind that a handbook has."""

    title: Annotated[Line, Field(description="The name.")]
    minutes: Annotated[float, Field(gt=0, le=60, description="How long.")] = 1
    way: Annotated[Literal["up", "down", "both"], Field(description="Which way.")] = "up"
    goals: Annotated[list[Name], Field(min_length=1, max_length=3, description="What for.")] = ["a"]
    voices: Annotated[str | list[str] | None, Field(description="Who.")] = None
    span: Annotated[Range | None, Field(description="From where to where.")] = None
    boats: Annotated[dict[Name, Boat], Field(max_length=2, description="The boats.")] = {}
    depths: Annotated[dict[Annotated[int, Field(ge=1, le=5)], str], Field(description="Deep.")] = {}


def errors_of(text: str, model: type[Model] = Form) -> list[Problem]:
    document, problems = read_yaml(text, Place("f.yml"))
    assert document is not None and problems == []
    typed, problems = validate(model, document)
    assert (typed is None) == bool(problems)
    return problems


CASES = [
    # text behind "title: A\n", line, column, code, in the message, in the hint
    ("minutes: 1:30", 2, 10, "field-value", 'a number, not "1:30"', 'point: "minutes: 1.5".'),
    ("minutes: 2,5", 2, 10, "field-value", 'not "2,5"', 'decimal point: "minutes: 2.5".'),
    ("minutes: 3 min", 2, 10, "field-value", 'not "3 min"', 'only the number: "minutes: 3".'),
    ("minutes: no", 2, 10, "field-value", 'not "no"', "How long."),
    ("minutes: 2024-05-01", 2, 10, "field-value", 'not "2024-05-01"', "How long."),
    ("minutes: true", 2, 10, "field-value", "a number, not true", "How long."),
    ("minutes: false", 2, 10, "field-value", "a number, not false", "How long."),
    ("boats:\n  a: {name: x, crew: true}", 3, 22, "field-value", "number, not true", "How many"),
    ("minutes: [1]", 2, 10, "field-value", "a number, not a list", "How long."),
    ("minutes: -1", 2, 10, "field-value", "is -1; it must be more than 0", "How long."),
    ("minutes: 1e9", 2, 10, "field-value", "is 1e9; it cannot be more than 60", "How long."),
    ("minutes: .inf", 2, 10, "field-value", 'a number, not "inf"', "How long."),
    ("minutes: .nan", 2, 10, "field-value", 'a number, not "nan"', "How long."),
    ("minutes:", 2, 1, "field-value", "is empty", "after the colon"),
    ("way: sideways", 2, 6, "field-value", 'cannot be "sideways"', '"way: up" or "way: down"'),
    ("way: donw", 2, 6, "field-value", 'Did you mean "down"?', '"way: up" or "way: down"'),
    ("way: true", 2, 6, "field-value", "cannot be true", '"way: up" or "way: down"'),
    ("way: [up]", 2, 6, "field-value", "cannot be a list", '"way: up" or "way: down"'),
    ("goals: Low Tide", 2, 8, "field-value", "even with a single item", "goals: [low-tide]"),
    ("goals: Low, high and Mid Tide", 2, 8, "field-value", "even with a single item",
     "goals: [low, high, mid-tide]"),
    ("goals: a, b, c, d", 2, 8, "field-value", "even with a single item", "goals: [one, two]"),
    ("goals: [a, 'b, c']", 2, 12, "field-value", '"goals" must be one name', '"b", "c"'),
    ("goals: a", 2, 8, "field-value", "even with a single item", "goals: [a]"),
    ("goals: {a: b}", 2, 8, "field-value", "a list, not a group", "goals: [one, two]"),
    ("goals: []", 2, 8, "field-value", "at least 1", "What for."),
    ("goals: [a, b, c, d]", 2, 8, "field-value", "has 4 items, but at most 3", "most important"),
    ("goals: [a, Low Tide]", 2, 12, "field-value", '"Low Tide" cannot be', "low-tide"),
    ("goals: [a, 5]", 2, 12, "field-value", '"5" cannot be', "beginning with a letter"),
    ("goals: [[a]]", 2, 9, "field-value", 'item of "goals" must be a text', "What for."),
    ("goals: [{a: b}]", 2, 9, "field-value", 'item of "goals" must be a text', "What for."),
    ("goals:\n- a\n- " + "b" * 61, 4, 3, "field-value", "too long for a name", "60 characters"),
    ("voices: {a: b}", 2, 9, "field-value", "a word or a list of words", "Who."),
    ("span: C4 F5", 2, 7, "field-value", '"to" between', "From where"),
    ("span: [C4, F5]", 2, 7, "field-value", '"to" between', "From where"),
    ("span: H4 to F5", 2, 7, "field-value", "H4", 'such as "C4"'),
    ("span: F5 to C4", 2, 7, "field-value", "F5 is not lower than C4", "lower note first"),
    ("boats: [a]", 2, 8, "field-value", "must be a group of fields", "lines below"),
    ("boats: gull", 2, 8, "field-value", "must be a group of fields", "lines below"),
    ("boats: {a: }", 2, 9, "field-value", '"a" is empty', "after the colon"),
    ("boats: {a: gull}", 2, 12, "field-value", '"a" must be a group of fields', "lines below"),
    ("boats: {A b: {name: x}}", 2, 9, "field-value", '"A b" cannot be', "a-b"),
    ("boats:\n  a: {crew: 2}", 3, 3, "field-missing", '"name" is missing in "a"', "painted"),
    ("boats:\n  a:\n    nam: x\n    name: y", 4, 5, "field-unknown", '"nam" in "a"', '"crew"'),
    ("boats:\n  a: {name: x, crew: 12}", 3, 22, "field-value", "is 12", "How many row."),
    ("boats:\n  a: {name: 'x\n\n   y'}", 3, 13, "field-value", "one line", "line break"),
    (f"boats: {{a: {{name: {'x' * 21}}}}}", 2, 19, "field-value", "has 21 characters", "Shorten"),
    ("depths: {6: a}", 2, 10, "field-value", "is 6; it cannot be more than 5", "Deep."),
    ("depths: {four: a}", 2, 10, "field-value", 'whole number, not "four"', "Deep."),
    ("colour: red", 2, 1, "field-unknown", 'no field "colour"', '"title", "minutes"'),
    ("minuets: 2", 2, 1, "field-unknown", 'Did you mean "minutes"?', '"title", "minutes"'),
    ("5: 2", 2, 1, "field-unknown", 'no field "5"', '"title", "minutes"'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "code", "message", "hint"), CASES)
def test_a_error_is_said_at_its_field(
    text: str, line: int, column: int, code: str, message: str, hint: str
) -> None:
    (problem,) = errors_of("title: A\n" + text)
    assert (problem.code, problem.place.line, problem.place.column) == (code, line, column)
    assert message in problem.message and hint in problem.hint


@pytest.mark.parametrize(
    ("title", "message"),
    [
        ("true", "true without quotes means yes or no"),
        ("[a]", "must be a text, not a list"),
        ("''", "is empty"),
        ("'  '", "is empty"),
        ("|\n  a\n  b", "must be one line"),
        (">\n  a", "must be one line"),
        ("'" + "x" * 301 + "'", "has 301 characters"),
    ],
)
def test_a_text_has_its_own_errors_of(title: str, message: str) -> None:
    (problem,) = errors_of(f"title: {title}\n")
    assert message in problem.message and problem.place == Place("f.yml", 1, 8)


@pytest.mark.parametrize("title", ["no", "5", "1.10", "007", "2024-05-01", "1:30", "0x10", "off"])
def test_what_yaml_is_known_to_change_stays_as_it_was_written(title: str) -> None:
    document, _ = read_yaml(f"title: {title}\n", Place("f.yml"))
    assert document is not None
    typed, problems = validate(Form, document)
    assert problems == [] and typed is not None and typed.title == title


def test_a_value_with_a_line_break_leaves_the_message_on_one_line() -> None:
    problems = errors_of('title: A\nkeys: "a\\nb"\n', FrontMatter)
    (message,) = [problem.message for problem in problems if problem.place.line == 2]
    assert message == '"a b" cannot be read as a key or a row of keys.'


@pytest.mark.parametrize(
    ("clock", "minutes"),
    [("1:30", "1.5"), ("10:00", "10"), ("2:15", "2.25"), ("0:30", "0.5"), ("20:20", "20.33")],
)
def test_a_time_of_the_clock_is_given_in_minutes(clock: str, minutes: str) -> None:
    (problem,) = errors_of(f"title: A\nminutes: {clock}\n")
    assert problem.hint == f'Write the time in minutes, with a decimal point: "minutes: {minutes}".'


def test_of_several_choices_only_what_is_nearest_is_said() -> None:
    (problem,) = errors_of("title: A\nvoices: [a, [b]]\n")
    assert (problem.place.line, problem.place.column) == (2, 13)


def test_everything_is_said_at_once_and_in_order() -> None:
    problems = errors_of("minutes: x\nway: y\ngoals: z\ncolour: red\n")
    assert [(p.place.line, p.code) for p in problems] == [
        (1, "field-missing"),
        (1, "field-value"),
        (2, "field-value"),
        (3, "field-value"),
        (4, "field-unknown"),
    ]


def test_a_flood_of_errors_of_is_cut_short() -> None:
    assert len(errors_of("title: A\n" + "".join(f"x{n}: 1\n" for n in range(500)))) == 40


def test_what_was_refused_already_is_not_complained_of_again() -> None:
    document, refused = read_yaml("title: &x A\nminutes: *x\n", Place("f.yml"))
    assert document is not None and len(refused) == 2
    assert validate(Form, document) == (None, [])


JARGON = ("input", "valid", "pydantic", "string", "integer", "float", "dict", "type", "pattern",
          "none", "null", "instance", "schema", "parse", "key ", "literal", "object")  # fmt: skip


def jargon(problem: Problem, text: str) -> list[str]:
    phrase = f"{problem.message} {problem.hint}".lower()
    return [word for word in JARGON if word in phrase and word not in text.lower()]


@pytest.mark.parametrize("text", [case[0] for case in CASES])
def test_nothing_of_the_validating_library_s_own_words(text: str) -> None:
    (problem,) = errors_of("title: A\n" + text)
    assert not jargon(problem, text)


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.sampled_from(["C4", "C4 to F5", "circle", "hum", "1:30", "x" * 400, "a\nb", "all", ""])
    | st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["label", "clef", "comfortable", "limits", "a", "B c", "4"]), inner
        )
    ),
    max_leaves=6,
)


@pytest.mark.parametrize("model", [Form, Chorus, Vocabulary, FrontMatter])
@given(data=st.data())
def test_any_value_fits_or_is_a_problem_in_plain_words(
    model: type[Model], data: st.DataObject
) -> None:
    names = st.sampled_from([*model.model_fields])
    values = data.draw(st.dictionaries(names, VALUES, max_size=5))
    # JSON is YAML, so another library writes the text; its NaN is a word there.
    text = json.dumps(values, ensure_ascii=False)
    document, _ = read_yaml(text, Place("f.yml"))
    if document is None:
        return
    typed, problems = validate(model, document)
    assert typed is not None or problems or document.unread
    for problem in problems:
        assert problem.message and problem.hint and problem.place.line == 1
        assert "\n" not in problem.message + problem.hint
        fields = " ".join(f"{k} {f.description}" for k, f in model.model_fields.items())
        assert not jargon(problem, text + fields + SHOWN)


#: Descriptions of inner fields, and hints that name documents, may use any word.
SHOWN = " ".join(
    f"{name} {field.description}"
    for inner in Model.__subclasses__()
    for name, field in inner.model_fields.items()
)
