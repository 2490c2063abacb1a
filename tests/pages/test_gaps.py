"""The page "What the stock lacks": every number leads to as many exercises."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs

from checked import Checked
from chorus_handbook.pages.gaps import gaps_page
from chorus_handbook.views.gaps import find_gaps


def test_a_number_leads_to_the_exercises_that_it_counts(demo: Checked) -> None:
    vocabulary, rows = demo.config.vocabulary, demo.views.rows
    assert vocabulary
    sung = {"slipway", "eddies"}
    gaps = find_gaps(rows, vocabulary.goals, sung)
    titles = {slug: str(row["title"]) for slug, row in rows.items()}
    page = gaps_page(gaps, titles, vocabulary)
    cells = re.findall(r'<a href="../find/\?([^"]*)">(\d+)</a>', page.content)
    assert len(cells) > 100
    for address, count in cells:
        asked = {name: values[0] for name, values in parse_qs(unescape(address)).items()}
        found = [
            row
            for row in rows.values()
            if asked["goals"] in (row["goals"] or ())
            and all(str(row[name]) == asked[name] for name in asked if name != "goals")
        ]
        assert len(found) == int(count) > 0, address
    # in words: every goal with none or one of an impact; where most have none, who has any
    lists = page.content.partition('<h2 id="hb-gap-numbers">')[0]
    rest, single = lists.partition("Only one exercise for")[::2]
    nothing, only_for = rest.partition("<h2>Exercises only for</h2>")[::2]
    assert 'impact=1"' in only_for and 'impact=1"' not in nothing
    for one in gaps.goals:
        for number, impact in enumerate(one.impacts, 1):
            line = re.search(rf"<b>Impact {number}, .*?</li>", nothing)
            others = re.search(rf"<b>Impact {number}, .*?</li>", only_for)
            assert not (line and others), number
            named = (line or others) and f"goals={one.goal}" in (line or others)[0]
            assert bool(named) == ((impact == 0) != bool(others)), (one.goal, number)
            shown = f"goals={one.goal}&amp;impact={number}" in single
            assert shown == (impact == 1), (one.goal, number)
    fewest = re.findall(
        r'goals=([^"&]*)">[^<]* (\d+)</a>', page.content.partition("Nothing for")[0]
    )
    counted = sorted(
        (sum(goal in row["goals"] for row in rows.values()), goal) for goal in vocabulary.goals
    )
    assert sorted((int(n), goal) for goal, n in fewest) == counted[: len(fewest)]
    assert 5 <= len(fewest) <= 10 and counted[len(fewest)][0] > counted[len(fewest) - 1][0]
    never = re.findall(r'<li><a href="\.\./exercises/([^/]*)/">', page.content)
    assert len(never) == len(rows) - 2 and not sung & {*never}


def test_goals_that_are_served_alike_are_no_gap(demo: Checked) -> None:
    assert find_gaps(demo.views.rows, [], None).fewest() == ()
    assert find_gaps(demo.views.rows, ["blend", "diction"], None).fewest() == ()  # 17 of both


def test_names_are_text_and_no_log_is_no_list(demo: Checked) -> None:
    assert demo.config.vocabulary
    goals = {"blend": demo.config.vocabulary.goals["blend"].model_copy(update={"label": "<b>"})}
    vocabulary = demo.config.vocabulary.model_copy(update={"goals": goals})
    page = gaps_page(find_gaps(demo.views.rows, goals, None), {}, vocabulary)
    assert "&lt;b&gt;" in page.content and '<th scope="row"><b>' not in page.content
    assert "hb-never-sung" not in page.content
