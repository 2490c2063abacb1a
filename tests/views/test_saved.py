"""views.yml as a file."""

import pytest

from chorus_handbook.problems import Place

GOOD = "- {slug: one, title: One, intro: x, where: {impact: 2}}\n"


def test_no_file_means_no_views(stock):
    stock.add("a")
    views, problems = stock.read()
    assert (views.saved, problems) == ((), [])


def test_views_keep_the_order_of_the_file_and_their_words(stock):
    stock.add("a")
    views, _ = stock.read(GOOD.replace("one", "two").replace("One", "Two") + GOOD)
    assert [(v.slug, v.title, v.intro) for v in views.saved] == [
        ("two", "Two", "x"),
        ("one", "One", "x"),
    ]


def test_the_list_may_have_its_name(stock):
    stock.add("a")
    views, problems = stock.read("views:\n" + GOOD)
    assert ([view.slug for view in views.saved], problems) == (["one"], [])
    _, (problem,) = stock.read("views:\n" + GOOD.replace("impact", "impakt"))
    assert problem.place.line == 2


def test_a_slug_that_would_take_the_place_of_the_folders_own_page(stock):
    stock.add("a")
    views, (problem,) = stock.read("- {slug: index, title: One, intro: x, where: {impact: 2}}\n")
    assert (problem.code, problem.place) == ("field-value", Place("handbook/views.yml", 1, 10))
    assert views.saved == ()


@pytest.mark.parametrize("text", ["", "   \n"])
def test_an_empty_file_is_told(stock, text):
    _, problems = stock.read(text)
    assert [p.code for p in problems] == ["file-empty"]


def test_bytes_that_are_no_text(stock):
    (stock.root / "views.yml").write_bytes(b"- slug: \xff\n")
    _, (problem,) = stock.read()
    assert (problem.code, problem.place) == ("file-encoding", Place("handbook/views.yml", 1, 9))


def test_a_doubled_condition_is_told_where_it_stands(stock):
    stock.add("a")
    text = (
        "- slug: one\n  title: One\n  intro: x\n  where:\n    impact: 2\n    impact: at least 3\n"
    )
    views, (problem,) = stock.read(text)
    assert (problem.code, problem.place.line) == ("yaml-duplicate", 6)
    assert [view.members for view in views.saved] == [("a",)]


def test_a_refused_value_is_told_once_and_only_where_it_stands(stock):
    stock.add("a")
    text = (
        "- {slug: &mark one, title: {}, intro: x, where: {impact: 2}}\n- {slug: [], title: !t {}}\n"
    )
    _, problems = stock.read(text)
    assert [(p.place.line, p.code) for p in problems] == [
        (1, "yaml-feature"),
        (1, "field-value"),
        (2, "field-missing"),
        (2, "field-value"),
        (2, "yaml-feature"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "-",
        "- ",
        "-\t- x",
        "? a",
        "- ? [a]\n  : b",
        "- &a {slug: *a}",
        "- !!python/object:os.system {}",
        "- slug: {a: {b: {c: {d: {e: {f: {g: {h: {i: 1}}}}}}}}}",
        "%YAML 1.1\n- a",
        "- slug: one\n---\n- slug: two",
        "---",
        "...",
        "-" * 5000,
        "- [" * 500,
        "views: {a: 1}",
        "views: [1, [2], null]",
        "- {slug: 1, title: 2, intro: 3, where: 4, any: 5, order: 6}",
        "- {slug: a, title: b, intro: c, where: {1: 2, true: 3, 0x1: [null]}, order: [1, []]}",
        "- {slug: a, title: b, intro: c, where: {impact: 0x" + "f" * 30 + "}}",
    ],
)
def test_odd_files_are_problems_with_a_place(stock, text):
    stock.add("a")
    _, problems = stock.read(text)
    lines = text.count("\n") + 1
    assert all(1 <= p.place.line <= lines + 1 and p.place.column >= 1 for p in problems)
    assert problems or text in ("---", "...", "-", "- ")


@pytest.mark.parametrize(
    "text",
    [
        GOOD.replace("{impact: 2}", "{reminder: stated}"),
        GOOD.rstrip("}\n") + "}, order: [reminder]}\n",
    ],
)
def test_the_old_name_of_a_field_gets_the_new_one(stock, text):
    stock.add("a")
    _, (problem,) = stock.read(text)
    assert problem.code == "view-field"
    assert problem.message == 'The field "reminder" is now called "cue".'
