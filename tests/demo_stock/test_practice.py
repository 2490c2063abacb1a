"""The demo stock against the outside: what is usual in the trade, how long a breath lasts, and
where vowels lie. Shares, not absolutes, where the trade itself only says "usually"."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise
from statistics import mean, median

import pytest

from checked import Checked
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Entry
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import Score

FIFTH, OCTAVE = 7, 12


@pytest.fixture(scope="module")
def sung(demo: Checked) -> dict[str, Facts]:
    """What was measured of the exercises with pitches."""
    facts = demo.facts
    return {slug: f for slug, f in facts.items() if any(v.notes for v in f.voices)}


def share(verdicts: Iterable[bool]) -> float:
    return mean(map(float, verdicts))


def test_tempos_lie_between_60_and_120(demo: Checked) -> None:
    # common practice
    assert share(60 <= facts.tempo <= 120 for facts in demo.facts.values()) >= 0.95


def test_a_tune_climbs_through_five_to_eight_keys(
    sung: dict[str, Facts], stock: dict[str, Entry]
) -> None:
    # Common practice for figures that move by semitones in one line: scales and arpeggios through
    # eight to ten keys where the ranges of all voices allow it. Chords and rounds stay in one to
    # three, since it is the chord that is practised.
    paths = {slug: stock[slug].front.key_path for slug in sung}
    ladders = [
        len(sung[slug].keys)
        for slug, path in paths.items()
        if path and path.stride == 1 and sung[slug].parts == 1 and len(sung[slug].keys) > 1
    ]
    assert len(ladders) >= 10
    assert share(5 <= keys <= 8 for keys in ladders) >= 0.75
    assert max(len(facts.keys) for facts in sung.values()) <= 10


def test_keys_climb_descend_and_come_back(stock: dict[str, Entry]) -> None:
    # common practice: by a semitone a pass, up as well as down
    keys = [entry.front.keys or "" for entry in stock.values()]
    ways = {way: sum(way in key for key in keys) for way in (" up ", " down ", "back", "whole")}
    assert min(ways.values()) >= 3, ways
    assert share("whole" not in key for key in keys if " to " in key) >= 0.7


def test_wide_leaps_wait_until_voices_are_warm(
    sung: dict[str, Facts], stock: dict[str, Entry]
) -> None:
    # common practice: leaps wider than a fifth only late in a warm-up; a glide is no leap
    for slug, facts in sung.items():
        if facts.largest_leap > FIFTH:
            front = stock[slug].front
            assert front.moment in {"middle", "closing"}, slug
            assert front.impact >= 3, slug


def test_spans_open_from_the_middle_outward(
    sung: dict[str, Facts], stock: dict[str, Entry]
) -> None:
    # common practice: from a narrow span in mid-voice out to the extremes
    spans = {
        moment: [f.ambitus_semitones for s, f in sung.items() if stock[s].front.moment == moment]
        for moment in ("opening", "middle", "closing")
    }
    assert max(spans["opening"]) <= OCTAVE < max(spans["middle"])
    assert mean(spans["opening"]) < mean(spans["middle"])
    assert max(spans["closing"]) <= OCTAVE


def test_effort_grows_and_ends_by_unifying(stock: dict[str, Entry]) -> None:
    # common practice: from body and breath through quiet sound to full singing; last comes what
    # unifies, never the loudest
    efforts = {
        moment: [e.front.impact for e in stock.values() if e.front.moment == moment]
        for moment in ("opening", "middle", "closing", "after")
    }
    assert mean(efforts["opening"]) < mean(efforts["middle"])
    assert max(efforts["opening"]) <= 3
    assert max(efforts["closing"]) <= 4 < max(efforts["middle"])
    for slug, entry in stock.items():
        if entry.front.moment == "closing" and entry.front.impact == 4:
            assert {"blend", "tuning", "harmony", "together"} & {*entry.front.goals}, slug
    assert min(efforts["closing"]) >= 2  # a quiet close that unifies still sounds
    assert max(efforts["after"]) <= 2  # what cools down is soft, or silent


def test_harmony_moves_as_voices_like_to(sung: dict[str, Facts], stock: dict[str, Entry]) -> None:
    """In 351 chorales by J. S. Bach sopranos repeat or step in 85 % of intervals, and go wider than
    a fifth in 0.6 % (counted from the music21 corpus). Harmony to warm up on asks hardly more."""
    sizes = Counter[int]()
    for slug, facts in sung.items():
        goals = stock[slug].front.goals
        is_round = stock[slug].front.round is not None  # a tune, which goes back to its beginning
        if facts.parts > 1 and "harmony" in goals and "range" not in goals and not is_round:
            sizes.update(next(v.intervals for v in facts.voices if v.voice == "soprano"))
    total = sizes.total()
    assert sum(n for size, n in sizes.items() if size <= 2) / total >= 0.7
    assert sum(n for size, n in sizes.items() if size > FIFTH) / total <= 0.006


def test_exercises_are_short_enough_for_a_warm_up(stock: dict[str, Entry]) -> None:
    # Common practice: 10 to 20 minutes in all. The limits are our choice: five or more fit in.
    minutes = [entry.front.minutes for entry in stock.values()]
    assert max(minutes) <= 5
    assert 2 <= median(minutes) <= 4


def reaches(facts: Facts, chorus: Chorus) -> Iterable[tuple[str, int, int, bool]]:
    """Of every voice and key: (voice, lowest and highest as MIDI numbers, in the first key)."""
    offsets = [key.midi - facts.keys[0].midi for key in facts.keys]
    for voice in facts.voices:
        if voice.voice in chorus.voices and voice.lowest and voice.highest:
            for number, offset in enumerate(offsets):
                low, high = voice.lowest.midi + offset, voice.highest.midi + offset
                yield voice.voice, low, high, number == 0


def test_every_voice_begins_in_comfort(demo: Checked, sung: dict[str, Facts]) -> None:
    chorus = demo.config.chorus
    assert chorus
    verdicts = {}
    for slug, facts in sung.items():
        for voice, low, high, first in reaches(facts, chorus):
            if first:
                ease = chorus.voices[voice].comfortable
                verdicts[slug, voice] = ease.low <= low and high <= ease.high
    assert share(verdicts.values()) >= 0.95, [v for v, ok in verdicts.items() if not ok]


def test_ladders_stop_two_semitones_inside_a_range(
    demo: Checked, sung: dict[str, Facts], stock: dict[str, Entry]
) -> None:
    # Common practice. Where a section may step out, the others go on without it; and a note to be
    # sung "as far as is easy" binds nobody.
    chorus = demo.config.chorus
    assert chorus
    for slug, facts in sung.items():
        as_far_as_easy = any(n.easy for p in demo.scores[slug].parts for n in p.notes)
        if stock[slug].front.step_out == "no" and not as_far_as_easy:
            for voice, low, high, _ in reaches(facts, chorus):
                limits = chorus.voices[voice].limits
                assert limits.low + 2 <= low, (slug, voice)
                assert high <= limits.high - 2, (slug, voice)


#: Mean maximum phonation time of adults in their sixties, seconds (Maslan and others 2011,
#: docs/sources.md).
PHONATION = 22.3


def test_phrases_take_less_than_half_a_breath(demo: Checked) -> None:
    longest = 10.0
    assert longest < PHONATION / 2
    for slug, facts in demo.facts.items():
        score = demo.scores[slug]
        for voice in facts.voices:
            if voice.longest_phrase_seconds > longest:
                assert is_staggered(score, voice.voice), (slug, voice.voice)


def is_staggered(score: Score, voice: str) -> bool:
    notes = next(part.notes for part in score.parts if part.voice == voice)
    return any(note.staggered or note.breath == "staggered" for note in notes)


#: Second formants in Hz, men: averages computed by us from Peterson and Barney's data set as it
#: ships in praat-parselmouth (their paper of 1952 prints rounded means). It has no vowel for "oh"
#: or "ü".
SECOND_FORMANT = {"ee": 2294, "eh": 1854, "ah": 1091, "oo": 876}
#: Front to back (the vowel chart of the International Phonetic Association): i e a o u.
FRONT_TO_BACK = ("ee", "eh", "ah", "oh", "oo")
#: A syllable without meaning, such as "mee": at most a consonant or two, then one of the vowels.
_SYLLABLE = re.compile(r"[b-df-hj-np-tv-z]{0,2}(ee|eh|ah|oh|oo)")


def vowels_sung(score: Score) -> list[str]:
    """The vowels one after another: verse after verse, as the voice that has most of them."""
    rows = []
    for part in score.parts:
        row = [
            found[1]
            for verse in range(score.verses)
            for note in part.notes
            if len(note.syllables) > verse and (syllable := note.syllables[verse])
            if (found := _SYLLABLE.fullmatch(syllable.text))
        ]
        rows.append([v for i, v in enumerate(row) if i == 0 or v != row[i - 1]])
    return max(rows, key=lambda row: len(set(row)), default=[])


def in_order(places: Sequence[float]) -> bool:
    """Whether they only rise, only fall, or do the one and then the other, there and back."""
    turns = [b > a for a, b in pairwise(places) if a != b]
    return sum(a != b for a, b in pairwise(turns)) <= 1


def test_vowels_are_cycled_from_front_to_back_or_back_to_front(demo: Checked) -> None:
    rows = {slug: vowels_sung(score) for slug, score in demo.scores.items()}
    cycles = {slug: row for slug, row in rows.items() if len(set(row)) >= 3}
    assert {"five-lanterns", "oyster"} <= set(cycles)
    for slug, row in {**cycles, "rounding-the-head": rows["rounding-the-head"]}.items():
        assert in_order([SECOND_FORMANT[v] for v in row if v in SECOND_FORMANT]), (slug, row)
        assert in_order([FRONT_TO_BACK.index(v) for v in row]), (slug, row)


def test_vowels_named_in_a_row_are_in_order(demo: Checked, stock: dict[str, Entry]) -> None:
    assert demo.config.vocabulary
    texts = {slug: e.source.text for slug, e in stock.items()}
    texts |= {name: goal.about for name, goal in demo.config.vocabulary.goals.items()}
    found = 0
    for name, text in texts.items():
        for run in re.findall(r"\b(?:(?:ee|eh|ah|oh|oo), ){2,}(?:ee|eh|ah|oh|oo)\b", text):
            found += 1
            row = run.split(", ")
            assert in_order([SECOND_FORMANT[v] for v in row if v in SECOND_FORMANT]), (name, run)
            assert in_order([FRONT_TO_BACK.index(v) for v in row]), (name, run)
    assert found >= 4
