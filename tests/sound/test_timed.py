"""Scores in time, against the worked examples of the notation's own description and by hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import pytest

from chorus_handbook.music.score import Meter
from chorus_handbook.sound.levels import LEVELS
from chorus_handbook.sound.timed import MOST_TICKS, TimedNote, TimedPass, count_in

Reading = Callable[..., TimedPass]
GRACES = [(4, 1, 16), (3, 1, 17), (2, 1, 19), (1, 1, 21)]


def notes_of(timed: TimedPass, voice: str) -> tuple[TimedNote, ...]:
    return next(v.notes for v in timed.voices if v.name == voice)


def in_beats(timed: TimedPass, voice: str) -> list[tuple[Fraction, Fraction, tuple[int, ...]]]:
    tick = Fraction(1, timed.ticks)
    return [(n.at * tick, n.length * tick, n.semitones) for n in notes_of(timed, voice)]


def test_the_worked_example_of_a_held_bass(timed: Reading) -> None:
    found = timed("bass: 1 ...\nsoprano: 1.2 3.4 5.6 7.1' | - - - -^ |")
    assert in_beats(found, "bass") == [(0, 9, (-12,))]  # eight beats, and the last one twice
    halves = [Fraction(n, 2) for n in range(8)]
    scale = [0, 2, 4, 5, 7, 9, 11, 12]
    lengths = [Fraction(1, 2)] * 7 + [Fraction(11, 2)]  # 4.5 beats, and the hold
    assert in_beats(found, "soprano") == [
        (at, length, (pitch,)) for at, length, pitch in zip(halves, lengths, scale, strict=True)
    ]
    assert found.length == 9 * found.ticks


def test_the_worked_example_in_minor_with_a_pickup(timed: Reading) -> None:
    found = timed("mode: minor\npickup: 1\nsoprano: 5, | 1.3.5 1' #7.5 3 | 1 - - |")
    third, half = Fraction(1, 3), Fraction(1, 2)
    assert in_beats(found, "soprano") == [
        (0, 1, (-5,)),
        (1, third, (0,)),
        (1 + third, third, (3,)),
        (1 + 2 * third, third, (7,)),
        (2, 1, (12,)),
        (3, half, (11,)),
        (3 + half, half, (7,)),
        (4, 1, (3,)),
        (5, 3, (0,)),
    ]
    assert found.count_in == 3


def test_a_glide_lasts_to_the_end_of_its_note(timed: Reading) -> None:
    first, second = notes_of(timed("soprano: 1~ - - - | 1' - - - |"), "soprano")
    assert first.glide and (first.glide.start, first.glide.semitones) == (0, (12,))
    assert (first.length, second.glide) == (4 * 48, None)
    late = notes_of(timed("soprano: 1 -~ 5 - |"), "soprano")[0]
    assert late.glide and (late.glide.start, late.glide.semitones) == (48, (7,))


def test_a_siren_is_one_sound(timed: Reading) -> None:
    """Up and down without a syllable between: only the first note is struck."""
    found = timed("words: oo ...\nsoprano: 1~ - 5~ - | 1~ - 5 - |")
    joined = [note.joined for note in notes_of(found, "soprano")]
    assert joined == [False, True, True, True]
    (soprano,) = (voice for voice in found.voices if voice.name == "soprano")
    (siren,) = soprano.sounds
    assert [note.id for note in siren] == [note.id for note in soprano.notes]


@pytest.mark.parametrize(
    "text",
    [
        "words: noo nah\nsoprano: 1~ - 5 - |",  # a syllable of its own
        "soprano: 1 - 5 - |",  # no glide
    ],
)
def test_a_note_is_struck_where_the_voice_begins_anew(timed: Reading, text: str) -> None:
    assert not any(note.joined for note in notes_of(timed(text), "soprano"))


def test_a_hairpin_moves_a_note_that_is_held(timed: Reading) -> None:
    """From p to f over four beats; then to the sign at the end of another hairpin."""
    (note,) = notes_of(timed("soprano: p < 1 - - - f |"), "soprano")
    assert (note.level, note.swell) == (LEVELS["p"], ((192, LEVELS["f"]),))
    swelling = notes_of(timed("soprano: p < 1 - - - | - - f > - - | p - - - - |"), "soprano")[0]
    assert swelling.swell == ((288, LEVELS["f"]), (384, LEVELS["p"]), (576, LEVELS["p"]))


def test_a_sign_within_a_note_is_reached_within_a_tick(timed: Reading) -> None:
    (note,) = notes_of(timed("soprano: f 1 - p - - |"), "soprano")
    f, p = LEVELS["f"], LEVELS["p"]
    assert (note.level, note.swell) == (f, ((96, f), (97, p), (192, p)))


def test_a_hairpin_ends_with_the_breath_that_cuts_its_note(timed: Reading) -> None:
    note = notes_of(timed("soprano: p < 1 - - - v f | 1 - - - |"), "soprano")[0]
    ((tick, level),) = note.swell
    assert tick == note.length == 180
    way = (LEVELS["f"] / LEVELS["p"]) ** (180 / 192)
    assert level == pytest.approx(LEVELS["p"] * way, abs=2e-3)


def test_notes_of_one_level_have_no_swell(timed: Reading) -> None:
    found = timed("soprano: p < 1 2 3 4 | f 5 - - - |")
    *moving, last = notes_of(found, "soprano")
    assert all(note.swell for note in moving) and not last.swell


def test_bar_and_pickup_are_told_in_beats(timed: Reading) -> None:
    found = timed("meter: 6/8\npickup: 1\nsoprano: 5 | 1 - |")
    assert (found.bar, found.pickup) == (2, 1)
    assert timed("meter: free\nsoprano: 5 1 |").bar == 0


def test_a_breath_takes_a_quarter_of_a_beat_and_at_most_a_third_of_the_note(
    timed: Reading,
) -> None:
    long, short, last, _ = notes_of(timed("soprano: 1 - v 2.3 v 4 |"), "soprano")
    assert (long.length, long.written) == (96 - 12, 96)
    assert (short.length, last.length, last.written) == (24, 24 - 8, 24)


def test_a_staggered_breath_ends_nothing(timed: Reading) -> None:
    (inside,) = notes_of(timed("soprano: 1 - v? - - |"), "soprano")
    assert inside.length == 4 * 48
    between, _ = notes_of(timed("soprano: 1 - v? 2 - |"), "soprano")
    assert between.length == 2 * 48


def test_a_breath_before_a_rest_takes_nothing(timed: Reading) -> None:
    assert notes_of(timed("soprano: 1 - v 0 0 |"), "soprano")[0].length == 96


def test_spoken_beats_have_a_height_and_no_pitch(timed: Reading) -> None:
    found = notes_of(timed("words: ta tay tee\nsoprano: x x' x, 0 |"), "soprano")
    assert [note.spoken for note in found] == ["middle", "high", "low"]
    assert [note.semitones for note in found] == [(), (), ()]
    assert [note.syllable for note in found] == ["ta", "tay", "tee"]


def test_a_voice_that_divides_sounds_all_its_notes_highest_first(timed: Reading) -> None:
    found = timed("X:1\nL:1/4\nM:4/4\nK:C\nV:soprano\n[CEG] [EC] c2 |]\n", "abc")
    assert [n.semitones for n in notes_of(found, "soprano")] == [(7, 4, 0), (4, 0), (12,)]


def test_short_notes_sound_half_as_long(timed: Reading) -> None:
    found = timed("X:1\nL:1/4\nM:4/4\nK:C\nV:soprano\n.C C2 LC |]\n", "abc")
    short, plain, weighty = notes_of(found, "soprano")
    assert (short.length, plain.length) == (24, 96)
    assert weighty.level > plain.level


ABC = "M:4/4\nL:1/4\nK:C\nV:alto\n"


@pytest.mark.parametrize(
    ("tune", "shortened", "graces"),
    [
        # An eighth of a beat each, before the beat; the note before gives them room.
        ("C2 {ef}D z|E4|", [84, 48, 192], [[], [(12, 6, 16), (6, 6, 17)], []]),
        ("{d}C2 D2|E4|", [96, 96, 192], [[(6, 6, 14)], [], []]),  # there is the count-in
        ("C2 z {e}D|E4|", [96, 48, 192], [[], [(6, 6, 16)], []]),  # a rest gives all it has
        # Of a short note they take half, however many they are.
        ("C/4{efga}D/4 z/2 z E2|E4|", [8, 12, 96, 192], [[], GRACES, [], []]),
        ("C/16{cdefgab}D15/16 z3|E4|", [3, 45, 192], [[], [], []]),  # no room for any
        (".C2 {e}D2|E4|", [48, 96, 192], [[], [(6, 6, 16)], []]),  # it is short already
    ],
)
def test_grace_notes_are_sung_before_the_beat(
    timed: Reading, tune: str, shortened: list[int], graces: list[list[tuple[int, int, int]]]
) -> None:
    found = notes_of(timed(ABC + tune, "abc"), "alto")
    assert [[(g.before, g.length, g.semitones) for g in n.graces] for n in found] == graces
    assert [note.length for note in found] == shortened
    bare = re.sub(r"\{\w*\}", "", tune)
    assert [n.at for n in found] == [n.at for n in notes_of(timed(ABC + bare, "abc"), "alto")]


def test_grace_notes_lie_where_their_voice_does(timed: Reading) -> None:
    """The tenor's written tonic lies an octave below."""
    tune = "M:4/4\nL:1/4\nK:C\nV:tenor clef=treble-8\n{c}C4|"
    (note,) = notes_of(timed(tune, "abc"), "tenor")
    assert [grace.semitones - note.semitones[0] for grace in note.graces] == [12]


def test_repeats_are_written_out(timed: Reading) -> None:
    found = timed("X:1\nL:1/4\nM:2/4\nK:C\nV:soprano\n|: C D :| E F |]\n", "abc")
    assert [n.semitones[0] for n in notes_of(found, "soprano")] == [0, 2, 0, 2, 4, 5]
    assert found.length == 6 * found.ticks


def test_in_compound_time_the_beat_is_the_dotted_quarter(timed: Reading) -> None:
    found = timed("meter: 6/8\nsoprano: 1 2.3.4 |")
    assert found.length == 2 * found.ticks
    assert notes_of(found, "soprano")[1].length * 3 == found.ticks


def test_ticks_are_whole_for_every_division_of_the_beat(timed: Reading) -> None:
    found = timed("soprano: 1.2.3.4.5 1.2.3.4.5.6.7 1 - |")
    assert found.ticks == 48 * 5 * 7
    assert [n.length for n in notes_of(found, "soprano")][:5] == [found.ticks // 5] * 5


def test_beyond_the_finest_ticks_times_are_rounded_and_still_meet(timed: Reading) -> None:
    found = timed("soprano: " + " ".join(".".join("1" * n) for n in (11, 9, 7, 5)) + " |")
    assert found.ticks == MOST_TICKS
    notes = notes_of(found, "soprano")
    assert all(a.end == b.at for a, b in pairwise(notes))
    assert notes[-1].end == found.length == 4 * MOST_TICKS


@pytest.mark.parametrize(
    ("meter", "pickup", "beats"),
    [
        (Meter(4, 4), 0, 4),
        (Meter(3, 4), 0, 3),
        (Meter(3, 4), 1, 2),
        (Meter(4, 4), 1, 3),
        (Meter(4, 4), 2, 2),
        (Meter(4, 4), 3, 5),  # one beat would be too short a count: a bar more
        (Meter(2, 4), 1, 3),
        (Meter(6, 8), Fraction(1, 2), Fraction(11, 3)),
        (Meter(2, 4), 0, 4),
        (Meter(6, 8), 0, 4),  # two dotted quarters a bar, two bars
        (Meter(4, 4), Fraction(1, 2), Fraction(7, 2)),
        (Meter(0, 4), 0, 4),
    ],
)
def test_counting_leads_to_the_first_full_bar(
    meter: Meter, pickup: Fraction, beats: Fraction
) -> None:
    count = count_in(meter, Fraction(pickup))
    assert count == beats
    if not meter.free:
        assert ((count * meter.beat + pickup) / meter.bar).denominator == 1


def test_voices_on_one_staff_are_drawn_as_its_first(timed: Reading) -> None:
    found = timed("all: 1 2 3 - |")
    assert [n.drawn for n in notes_of(found, "alto")] == ["soprano-1", "soprano-2", "soprano-3"]
    assert [n.drawn for n in notes_of(found, "bass")] == ["soprano-1", "soprano-2", "soprano-3"]
    assert [n.semitones for n in notes_of(found, "soprano")] == [(0,), (2,), (4,)]
    assert [n.semitones for n in notes_of(found, "bass")] == [(-12,), (-10,), (-8,)]
    assert [n.id for n in notes_of(found, "alto")] == ["alto-1", "alto-2", "alto-3"]
