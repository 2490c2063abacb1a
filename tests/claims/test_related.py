"""Links between exercises."""

from chorus_handbook.claims.related import check_related
from chorus_handbook.entries.model import Entries


def found(entry, *slugs):
    return list(check_related(Entries((entry.source,), (entry,), frozenset(slugs))))


def test_files_that_exist_pass_even_broken_ones(make):
    entry = make.entry(related=["gangway"], leads_to=["long-tide"])
    assert found(entry, "slack-water", "gangway", "long-tide") == []


def test_dangling_links_get_a_guess(make):
    entry = make.entry(related=["gangway"], leads_to=["gangway", "longtide"])
    (problem,) = found(entry, "slack-water", "gangway", "long-tide")
    assert (problem.code, problem.place.column) == ("related-unknown", 11)
    assert 'Did you mean "long-tide"?' in problem.message


def test_an_exercise_is_not_related_to_itself(make):
    (problem,) = found(make.entry(related=["slack-water"]), "slack-water")
    assert problem.message == 'The field "related" names this exercise itself.'
