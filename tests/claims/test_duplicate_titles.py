"""Titles, each only once."""

from chorus_handbook.claims.duplicate_titles import check_duplicate_titles
from chorus_handbook.entries.model import Entries


def found(*entries):
    return list(check_duplicate_titles(Entries((), entries, frozenset())))


def test_case_and_blanks_do_not_tell_titles_apart(make):
    later = make.entry("b", "handbook/exercises/b.md", title="slack  WATER")
    first = make.entry("a", "handbook/exercises/a.md", title="Slack water")
    (problem,) = found(later, first)
    assert (problem.code, problem.place.path) == ("title-twice", "handbook/exercises/b.md")
    assert "handbook/exercises/a.md" in problem.message


def test_other_titles_pass(make):
    first = make.entry("a", title="Slack water", also_called=["Gangway"])
    assert found(first, make.entry("b", title="Gangway")) == []


def test_case_and_blanks_do_not_tell_plain_names_apart(make):
    first = make.entry("a", "handbook/exercises/a.md", title="A", plain="Five notes on a trill")
    later = make.entry("b", "handbook/exercises/b.md", title="B", plain="five notes on a  Trill")
    without = make.entry("c", "handbook/exercises/c.md", title="C")
    (problem,) = found(later, first, without)
    assert (problem.code, problem.severity) == ("plain-twice", "notice")
    assert problem.place.path == "handbook/exercises/b.md"
    assert "handbook/exercises/a.md" in problem.message
