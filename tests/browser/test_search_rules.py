"""The search without a page: what it finds in the demo, and the rules it is made of, under Node."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from rapidfuzz.distance import OSA

import chorus_handbook
from checked import Checked
from chorus_handbook.cache import Cache
from chorus_handbook.pages.index_file import index_json
from chorus_handbook.pages.plans import Plans
from chorus_handbook.pages.search_file import search_json
from chorus_handbook.records.parts import Parts
from chorus_handbook.sound import Tracks

SCRIPTS = Path(chorus_handbook.__file__).parent / "browser"

CASES = Path(__file__).parent.parent / "cases"
ENTRIES = (SCRIPTS / "search_entries.js").as_uri()
Evaluate = Callable[[str, str, object], Any]

#: The URLs found by each query, in their order, and whether the query was cut.
SEARCH = """async (module, {index, texts, queries, entries}) => {
    const { joinedEntries } = await import(entries);
    const pages = joinedEntries(texts, index);
    const search = await module.SearchIndex.of({
        language: texts.language, pages, labels: index.words
    });
    return queries.map((query) => {
        const { found, cut } = search.search(query);
        const first = found.slice(0, 3).map(({ entry, line }) => [entry.url, line]);
        const urls = found.map(({ entry }) => entry.url);
        return { first, urls, count: found.length, cut, near: search.nearest(query) };
    });
}"""
#: Searches that found nothing, or something else first, in the theme's search.
ONCE_FAILED = {
    "sirens": "exercises/gull-on-the-wind/",
    "canons": "views/rounds/",
    "raspberry": "exercises/slipway/",
    "breth": "goals/breath-flow/",
    "tounge": "exercises/ten-tin-tubs/",
    "rythm": "goals/rhythm/",
    "vowles": "goals/vowels/",
    "sightreading": "goals/reading/",
    "wheelchair": "views/seated/",
    "asthma": "voice-care/",
    "latin": "exercises/mare-et-terra/",
    "diaphragm": "goals/breath-flow/",
    "round": "views/rounds/",
    "low": "exercises/lead-line/",
    "pa ta ka": "exercises/skipping-stones/",
    "staccato": "exercises/splash-and-glide/",
    "messa di voce": "exercises/handing-on-the-lamp/",
    "do re mi": "exercises/out-and-back/",
    "cool down": "views/after-singing/",
    "quartet": "views/quartet/",
    "tuning 4 parts 3 minutes": "goals/tuning/",
}
#: What the page "Find an exercise" is asked by queries; None where a goal's own page serves.
NARROWED = {
    "tuning 4 parts 3 minutes": "find/?goals=tuning&parts=4&minutes=at+most+3",
    "quiet opener for breath": "find/?goals=breath-flow&moment=opening",
    "gentle opner breathing": "find/?goals=breath-flow&impact=2",
    "lip tril in 7 minutes": "find/?minutes=at+most+5&sounding=lip-trill",
    "no voice, seated": "find/?impact=1&formation=seated",
    "tuning": None,
    "open vowel": None,
    "9 parts tuning": None,
    "z" * 10_000: None,
}
NARROW = """async (module, {index, texts, queries, entries, narrowed}) => {
    const { joinedEntries } = await import(entries);
    const { narrowedBy } = await import(narrowed);
    const pages = joinedEntries(texts, index);
    const search = await module.SearchIndex.of({
        language: texts.language, pages, labels: index.words
    });
    return queries.map((query) => narrowedBy(query, search, index.exercises));
}"""
#: What nobody means to type, or types to do harm.
STRANGE = [
    "",
    "   ",
    "'\"`;--<script>alert(1)</script>",
    "__proto__ constructor toString",
    "\u202e\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627",
    "\U0001f3b6\U0001f469\u200d\U0001f469\u200d\U0001f467",
    "\ud800",
    "\u0000\uffff",
    ".*+?^${}()|[]\\",
    "z" * 10_000,
    "tuning " * 1_500,
    "e\u0301" * 5_000,
]


@pytest.fixture(scope="module")
def data(demo: Checked) -> dict[str, Any]:
    """search.json and index.json of the demo."""
    book = demo.book
    config = book.config
    assert config.chorus and config.vocabulary
    parts = Parts(book.root, config.chorus, Cache(None))
    plans = Plans(config, book.exercises, book.texts, book.views, parts, Tracks())
    texts = search_json(book.exercises, book.texts, book.views, plans, config.vocabulary)
    index = index_json(book.exercises, book.views.rows, config.chorus, config.vocabulary, plans.log)
    return {"texts": json.loads(texts), "index": json.loads(index)}


@pytest.fixture(scope="module")
def search(data: dict[str, Any], evaluate: Evaluate) -> Callable[[list[str]], list[Any]]:
    def run(queries: list[str]) -> list[Any]:
        found: list[Any] = evaluate(
            "search_index.js", SEARCH, {**data, "entries": ENTRIES, "queries": queries}
        )
        return found

    return run


@pytest.mark.parametrize(
    ("file", "count", "right"),
    [("queries", 60, 54), ("held_out", 30, 27), ("more_held_out", 60, 56)],
)
def test_readers_find_what_they_mean(
    search: Callable[[list[str]], list[Any]], file: str, count: int, right: int
) -> None:
    """Queries of readers, of which at least `right` find a page that they expected among the first
    three. The held-out ones were written by another reader when the search was finished."""
    queries = json.loads((CASES / "search" / f"{file}.json").read_text("utf-8"))
    found = search([query["query"] for query in queries])
    wrong = {
        query["query"]: results["first"]
        for query, results in zip(queries, found, strict=True)
        if not {url for url, _ in results["first"]} & {*query["expect"]}
    }
    assert len(queries) == count and len(wrong) <= count - right, wrong


def test_what_once_failed_is_found(search: Callable[[list[str]], list[Any]]) -> None:
    found = search([*ONCE_FAILED])
    missed = {
        query: results["first"]
        for (query, wanted), results in zip(ONCE_FAILED.items(), found, strict=True)
        if wanted not in [url for url, _ in results["first"]]
    }
    assert missed == {}


def test_exercises_with_the_numbers_asked_for_come_first(
    search: Callable[[list[str]], list[Any]], demo: Checked
) -> None:
    """Every exercise that contradicts a number comes after all that do not, and is still found."""
    stock = demo.views.rows
    asked: dict[str, Callable[[Any], bool]] = {
        "four parts tuning 3 minutes": lambda row: row["parts"] == 4 and row["known"] <= 3000,
        "tuning in 2 parts": lambda row: row["parts"] == 2,
        "vowels impact 2": lambda row: row["impact"] == 2,
        "breath in one minute": lambda row: row["known"] <= 1000,
        "sitting with no voice": lambda row: row["impact"] == 1,
    }
    for (query, meets), results in zip(asked.items(), search([*asked]), strict=True):
        slugs = [url.split("/")[1] for url in results["urls"] if url.startswith("exercises/")]
        right = [meets(stock[slug]) for slug in slugs if slug in stock]
        assert 1 <= sum(right) < len(right), query
        assert right == sorted(right, reverse=True), query


def test_a_query_that_asks_several_things_leads_to_all_that_has_them(
    data: dict[str, Any], evaluate: Evaluate, demo: Checked
) -> None:
    narrowed = (SCRIPTS / "search_narrowed.js").as_uri()
    given = {**data, "entries": ENTRIES, "narrowed": narrowed, "queries": [*NARROWED]}
    found = evaluate("search_index.js", NARROW, given)
    assert {
        query: one and one["address"] for query, one in zip(NARROWED, found, strict=True)
    } == NARROWED
    tuned = [
        row
        for row in demo.views.rows.values()
        if "tuning" in row["goals"] and row["parts"] == 4 and row["minutes"] <= 3000  # type: ignore[operator]
    ]
    assert len(found[0]["slugs"]) == len(tuned) > 1
    assert found[0]["what"] == "Tuning · 4 parts · up to 3 minutes"


def test_a_word_that_only_looks_alike_is_no_slip(search: Callable[[list[str]], list[Any]]) -> None:
    """The demo has none of these, but words that begin or end like each of them."""
    others = ["chatting", "screech", "mask", "descant", "covid", "barcode"]
    assert [one["count"] or one["near"] for one in search(others)] == [[]] * len(others)
    slips = {
        "kanon": "views/rounds/",
        "rbeath": "goals/breath-flow/",
        "resonnance": "goals/resonance/",
    }
    for (slip, wanted), results in zip(slips.items(), search([*slips]), strict=True):
        assert wanted in [url for url, _ in results["first"]], slip


def test_what_is_taken_away_is_not_wanted(search: Callable[[list[str]], list[Any]]) -> None:
    """It looks for nothing else either, unless the handbook has a name for the lack of it."""
    found = search(["no vowels", "tuning without vowels", "tuning", "no piano", "pianissimo"])
    none, without, plain, named, soft = found
    assert none["count"] == 0 and without["urls"] == plain["urls"]
    assert named["urls"] == ["views/outdoors/"]
    assert "views/outdoors/" not in [url for url, _ in soft["first"]]
    (seated, high) = search(["we can't stand for long", "cannot get high notes"])
    assert seated["first"][0][0] == "views/seated/"
    assert "goals/range/" in [url for url, _ in high["first"]]


def test_small_words_do_not_outweigh_the_matter(search: Callable[[list[str]], list[Any]]) -> None:
    balance, title = search(["out of balance", "lamps out"])
    assert "exercises/lamps-out/" not in [url for url, _ in balance["first"]]
    assert title["first"][0][0] == "exercises/lamps-out/"


def test_minutes_alone_lead_to_whole_warm_ups(
    search: Callable[[list[str]], list[Any]], data: dict[str, Any]
) -> None:
    lengths = {page["url"]: page.get("minutes") for page in data["texts"]["pages"]}
    (found,) = search(["15 minutes"])
    assert all(12 <= lengths[url] <= 18 for url, _ in found["first"])


def test_strange_queries_are_answered_plainly(search: Callable[[list[str]], list[Any]]) -> None:
    """None fails, a long one is cut and says so, and nothing is found by what says nothing."""
    found = dict(zip(STRANGE, search(STRANGE), strict=True))
    assert {query for query in STRANGE if found[query]["cut"]} == {*STRANGE[-3:]}
    assert all(not found[query]["count"] for query in STRANGE[:2])
    assert found["tuning " * 1_500]["first"][0][0] == "goals/tuning/"


def test_a_line_of_the_text_is_shown_where_only_the_text_has_the_word(
    search: Callable[[list[str]], list[Any]],
) -> None:
    (by_text, by_name, nothing) = search(["barcode marmalade tubs", "lip trill", "tungue twistre"])
    assert by_name["first"][0] == ["exercises/slipway/", ""]
    assert by_text["count"] and nothing["first"][0][0] == "exercises/ten-tin-tubs/"


def test_nothing_found_offers_what_is_like_it(search: Callable[[list[str]], list[Any]]) -> None:
    (found,) = search(["qqquartett"])
    assert found["count"] == 0 and "quartet" in found["near"]


def test_another_language_is_searched_without_english_stems(
    data: dict[str, Any], evaluate: Evaluate
) -> None:
    pages = [
        {"url": "a/", "kind": "page", "title": "Übungen für den Atem"},
        {"url": "b/", "kind": "page", "title": "Ein Kanon zu vier Stimmen"},
        {"url": "c/", "kind": "page", "title": "Straße und Fluß"},
    ]
    texts = {"language": "de", "exercises": {}, "pages": pages}
    index = {**data["index"], "exercises": []}
    queries = ["ubung", "UBUNGEN", "kannon", "strasse", "vierstimmen", "the"]
    given = {"texts": texts, "index": index, "entries": ENTRIES, "queries": queries}
    found = evaluate("search_index.js", SEARCH, given)
    assert [results["first"][0][0] for results in found[:5]] == ["a/", "a/", "b/", "c/", "b/"]
    assert found[5]["count"] == 0


def test_stems_are_those_of_the_published_vocabulary(evaluate: Evaluate) -> None:
    """Porter's own sample (cases/stemming/README.md), all 23,531 words."""
    folder = CASES / "stemming"
    words, stems = (
        (folder / name).read_text("ascii").split() for name in ("words.txt", "stems.txt")
    )
    assert len(words) == len(stems) == 23_531
    found = evaluate(
        "vendored/stemmer.js", "(module, words) => words.map((word) => module.stemmer(word))", words
    )
    wrong = {
        word: (stem, own)
        for word, stem, own in zip(words, stems, found, strict=True)
        if stem != own
    }
    assert wrong == {}


def test_distances_are_those_of_another_library(evaluate: Evaluate) -> None:
    """Optimal string alignment as rapidfuzz computes it, with and without a limit."""
    chance = random.Random(19)
    words = ["", *("".join(chance.choices("abcd", k=chance.randint(1, 9))) for _ in range(60))]
    pairs = [(a, b, most) for a in words for b in words for most in (1, 2, 20)]
    found = evaluate(
        "edit_distance.js",
        "(module, pairs) => pairs.map(([a, b, most]) => module.editDistance(a, b, most))",
        pairs,
    )
    # What JSON writes of Infinity is null.
    wanted = [d if (d := OSA.distance(a, b)) <= most else None for a, b, most in pairs]
    assert found == wanted
