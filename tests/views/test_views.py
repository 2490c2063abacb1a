"""The stage's result as a whole."""

from pathlib import Path

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.model import Entries
from chorus_handbook.views import read_views


def test_every_goal_has_its_exercises_by_impact_then_level_then_title(stock):
    stock.add("b", title="anchor", goals=["blend", "tuning"], level=2)
    stock.add("a", title="Buoy", goals=["tuning"], level=2)
    stock.add("d", title="Aft", goals=["tuning"], impact=3, level=1)
    stock.add("c", title="Zephyr", goals=["tuning"], level=1)
    views, _ = stock.read()
    assert dict(views.by_goal) == {
        "resonance": (),
        "blend": ("b",),
        "tuning": ("c", "b", "a", "d"),
    }


def test_a_view_says_which_part_of_a_warm_up_it_is_for(stock):
    stock.add("a")
    views, problems = stock.read(
        "- {slug: one, title: One, intro: x, moment: after, where: {impact: 2}}\n"
        "- {slug: two, title: Two, intro: x, where: {impact: 2}}\n"
    )
    assert problems == []
    assert [view.moment for view in views.saved] == ["after", None]


def test_a_part_of_a_warm_up_that_does_not_exist_is_a_problem(stock):
    stock.add("a")
    views, [problem] = stock.read(
        "- {slug: one, title: One, intro: x, moment: openig, where: {impact: 2}}\n"
    )
    assert views.saved == ()
    assert (problem.code, problem.place.line) == ("field-value", 1)
    assert "opening" in problem.hint + problem.message


def test_without_setting_and_exercises_there_is_nothing_to_sort(tmp_path: Path):
    text = "- {slug: one, title: One, intro: x, where: {goals: odd, voices: nobody}}\n"
    (tmp_path / "views.yml").write_text(text, encoding="utf-8")
    empty = Entries((), (), frozenset())
    views, problems = read_views(tmp_path, empty, [], ChorusConfig(), complete=False)
    assert problems == []
    assert [view.members for view in views.saved] == [()]
    assert dict(views.by_goal) == {}


def test_problems_come_in_file_order(stock):
    stock.add("a")
    _, problems = stock.read(
        "- {slug: one, title: One, intro: x, where: {impact: 3}}\n"
        "- {slug: two, title: Two, intro: x, where: {odd: 3}}\n"
        "- {slug: three, title: Three, intro: x, where: {impact: 4}}\n"
    )
    assert [p.place.line for p in problems] == [1, 2, 3]


def test_same_input_gives_the_same_result(stock):
    for slug in "dbca":
        stock.add(slug, title="Same")
    text = "- {slug: one, title: One, intro: x, where: {impact: 2}}\n"
    first, second = stock.read(text), stock.read(text)
    assert first[0].saved == second[0].saved
    assert first[0].saved[0].members == ("a", "b", "c", "d")
