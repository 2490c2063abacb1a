"""The stage's result as a whole."""

from pathlib import Path

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.model import Entries
from chorus_handbook.views import read_views


def test_every_goal_has_its_exercises_by_title(stock):
    stock.add("b", title="anchor", goals=["blend", "tuning"])
    stock.add("a", title="Buoy", goals=["tuning"])
    views, _ = stock.read()
    assert dict(views.by_goal) == {"resonance": (), "blend": ("b",), "tuning": ("b", "a")}


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
