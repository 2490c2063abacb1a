"""Measured facts, against values worked out by hand and against music21."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from music21 import interval as oracle_interval
from music21 import pitch as oracle_pitch
from music21 import scale as oracle_scale

from chorus_handbook.music.facts import Facts, VoiceFacts
from chorus_handbook.music.measure import measure
from chorus_handbook.music.score import Degree, Note, Part, Score
from chorus_handbook.pitch import Pitch

Reader = Callable[..., Score]
Measure = Callable[..., Facts]


@pytest.fixture
def facts_of(score_of: Reader) -> Measure:
    def facts_of_text(
        text: str, *keys: str, tempo: float = 60, passes: int = 1, lead_in: int = 4
    ) -> Facts:
        tonics = tuple(map(Pitch.parse, keys or ("C4",)))
        score = score_of(text)
        return measure("case", score, tempo=tempo, keys=tonics, passes=passes, lead_in=lead_in)

    return facts_of_text


def of(facts: Facts, voice: str) -> VoiceFacts:
    return next(found for found in facts.voices if found.voice == voice)


def test_a_five_note_slope(facts_of: Measure) -> None:
    facts = facts_of(
        "words: brr ...\nall: 1.2 3.4 5.4 3.2 | 1 - - 0 |", "C4", "Db4", "D4", tempo=84
    )
    soprano, bass = of(facts, "soprano"), of(facts, "bass")
    assert (str(soprano.lowest), str(soprano.highest)) == ("C4", "G4")
    assert (str(bass.lowest), str(bass.highest)) == ("C3", "G3")
    assert soprano.ambitus_semitones == facts.ambitus_semitones == 7
    assert (soprano.notes, soprano.syllables) == (9, 1)
    assert soprano.intervals == {1: 2, 2: 6}
    assert facts.step_share == soprano.step_share == 1.0
    assert facts.largest_interval == facts.largest_leap == 2
    assert facts.largest_interval_name == "M2"
    assert facts.parts == 1
    assert facts.seconds_per_pass == pytest.approx(8 * 60 / 84)
    assert facts.length_seconds == pytest.approx((3 * 8 + 2 * 4) * 60 / 84)
    assert facts.longest_phrase_seconds == soprano.voiced_seconds == pytest.approx(7 * 60 / 84)
    assert (facts.meter, facts.mode, facts.tempo) == ("4/4", "major", 84)
    assert [v.voice for v in facts.voices] == ["soprano", "alto", "tenor", "bass"]


def test_the_whole_length_counts_keys_passes_and_the_lead_ins_between_keys(
    facts_of: Measure,
) -> None:
    facts = facts_of("all: 1 - - - |", "C4", "D4", "C4", passes=2, lead_in=3)
    assert facts.seconds_per_pass == 4
    assert facts.length_seconds == 3 * 2 * 4 + 2 * 3
    assert facts_of("all: 1 - - - |", passes=2).length_seconds == 8


def test_holds_stretch_everything_that_sounds_meanwhile(facts_of: Measure) -> None:
    facts = facts_of("bass: 1 ...\nsoprano: 1.2 3.4 5.6 7.1' | - - - -^ |")
    bass, soprano = of(facts, "bass"), of(facts, "soprano")
    assert facts.seconds_per_pass == 9  # 8 beats, 9 with the fermata, which counts twice
    assert bass.voiced_seconds == bass.longest_phrase_seconds == 9
    assert soprano.voiced_seconds == 9
    assert str(bass.lowest) == "C3"


def test_a_hold_of_one_voice_stretches_the_rest_of_another(facts_of: Measure) -> None:
    facts = facts_of("soprano: 1 2 3^ 4 |\nalto: 1 - 0 4 |\ntenor: 1 2 3^ 4^ |")
    assert facts.seconds_per_pass == 6
    assert of(facts, "alto").voiced_seconds == 2 + 2
    assert of(facts, "soprano").longest_phrase_seconds == 6


def test_several_holds_add_up(facts_of: Measure) -> None:
    facts = facts_of("soprano: 1^ 2 3^ 4 v | 5 6^ 7 1' |")
    assert facts.seconds_per_pass == 11
    assert facts.longest_phrase_seconds == 6
    assert of(facts_of("soprano: 1^ 2 3^ 4 |\nalto: 0 1 0 1 |"), "alto").voiced_seconds == 2


def test_compound_beats_are_what_the_tempo_counts(facts_of: Measure) -> None:
    facts = facts_of("meter: 6/8\nall: 1.2.3 4 | 5 - |", tempo=60, lead_in=2)
    assert facts.seconds_per_pass == 4
    assert facts_of("meter: 3/8\nall: 1 2 3 |").seconds_per_pass == 3


def test_intervals_go_across_rests_and_spoken_beats(facts_of: Measure) -> None:
    soprano = of(facts_of("soprano: 1 0 5 5 | x 6 1' 0 |"), "soprano")
    assert soprano.intervals == {0: 1, 2: 1, 3: 1, 7: 1}
    assert soprano.step_share == 1 / 4
    assert (soprano.notes, soprano.spoken_beats) == (5, 1.0)


def test_a_tied_note_is_one_attack(facts_of: Measure) -> None:
    soprano = of(facts_of("soprano: 1 - - - | - - 2.- -.1 |"), "soprano")
    assert soprano.notes == 3
    assert soprano.intervals == {2: 2}


def test_glides_are_no_leaps(facts_of: Measure) -> None:
    facts = facts_of("soprano: 1~ - 1' - | 5 - 1 - |\nalto: 1 - 3 - | 1~6 - 1 - |")
    soprano, alto = of(facts, "soprano"), of(facts, "alto")
    assert (soprano.largest_interval, soprano.largest_leap) == (12, 7)
    assert (alto.largest_interval, alto.largest_leap) == (9, 9)  # the way back down is sung
    assert (facts.largest_interval, facts.largest_interval_name) == (12, "P8")
    assert facts.largest_leap == 9
    assert of(facts_of("soprano: 1~ 5 5~ 1 |"), "soprano").largest_leap == 0


@pytest.mark.parametrize(
    ("line", "seconds"),
    [
        ("1 2 3 4 | 5 - - - |", 8),
        ("1 2 3 4 v | 5 - - - |", 4),
        ("1 2 v 3 4 | 5 - - - |", 6),
        ("1 2 3 4 v? | 5 - - - |", 8),
        ("1 - - v? - | 5 - - - |", 8),
        ("1 0 3 4 | 5 - - - |", 6),
        ("1 2 3 x | x - - - |", 8),  # speech takes breath, too
        ("1 2 3 4 | 5 - - -^ |", 9),
        ("0 - - - | 1 0.2 3 0 |", 1.5),
    ],
)
def test_a_phrase_ends_at_a_breath_or_a_rest(facts_of: Measure, line: str, seconds: float) -> None:
    assert facts_of(f"soprano: {line}").longest_phrase_seconds == seconds


def test_a_phrase_runs_on_over_blocks(facts_of: Measure) -> None:
    assert facts_of("all: 1 - - - |\n\nall: 1 - - - |").longest_phrase_seconds == 8
    assert facts_of("all: 1 - - - |\n\nalto: 1 - - - |").longest_phrase_seconds == 8
    assert of(facts_of("all: 1 - - - |\n\nalto: 1 - - - |"), "bass").longest_phrase_seconds == 4


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("all: 1 2 3 4 |", 1),
        ("upper: 1 2 3 4 |\nlower: 1 - - - |", 2),
        ("soprano: 1 - 0 - |\nalto: 0 - 1 - |", 1),  # one after the other
        ("soprano: 1 - - 0 |\nalto: 0 - 1 - |", 2),
        ("soprano: 1 2 3 4 |\nalto: 1 2 3 4 |", 1),  # written twice, but one line
        ("soprano: 1 2 3 4 |\nalto: 1 2 3 3 |", 2),  # they meet, but are two lines
        ("soprano: 1 - 2 - |\nalto: 1 2 3 - |\ntenor: 1 - - - |\nbass: 5, ...", 4),
        ("all: 1 - - - |\n\nupper: 3 - - - |\nlower: 1 - - - |", 2),  # unison, then two
        ("all: 1 - - - |\n\nall: 3 - - - |", 1),
        ("leader: 5 - - - |\nall: 1 - - - |", 1),  # the leader does not count
        ("upper: x x x x |\nlower: 1 - - - |", 2),
        ("all: 0 - - - |", 0),
        ("leader: 1 - - - |", 0),
    ],
)
def test_parts_are_different_lines_that_sound_at_once(
    facts_of: Measure, text: str, parts: int
) -> None:
    assert facts_of(text).parts == parts


def test_the_leader_is_measured_but_counts_in_nothing(facts_of: Measure) -> None:
    facts = facts_of("leader: 1, - 1'' - |\nall: 1 2 v 1 2 v |")
    leader = facts.voices[0]
    assert leader.voice == "leader"
    assert leader.ambitus_semitones == leader.largest_interval == 36
    assert (facts.ambitus_semitones, facts.largest_interval, facts.largest_leap) == (2, 2, 2)
    assert facts.longest_phrase_seconds == 2
    assert facts.step_share == 1.0


def test_a_leader_alone_leaves_nothing_to_measure_of_the_chorus(facts_of: Measure) -> None:
    facts = facts_of("leader: 1 5 1' - |")
    assert (facts.ambitus_semitones, facts.largest_interval, facts.step_share) == (0, 0, None)
    assert (facts.largest_interval_name, facts.longest_phrase_seconds) == ("", 0)
    assert facts.seconds_per_pass == 4


def test_speech_has_no_range(facts_of: Measure) -> None:
    soprano = of(facts_of("words: ta ...\nall: x.x x' x, 0 |"), "soprano")
    assert (soprano.lowest, soprano.highest, soprano.ambitus_semitones) == (None, None, 0)
    assert (soprano.notes, soprano.syllables, soprano.spoken_beats) == (0, 1, 3.0)
    assert (soprano.intervals, soprano.step_share) == ({}, None)
    assert (soprano.voiced_seconds, soprano.longest_phrase_seconds) == (0, 3)


def test_syllables_are_those_begun_in_the_first_verse(facts_of: Measure) -> None:
    text = "all: 1 2 3 4 | 5 - 5 - |\nwords: sea-side _ * oh ah\nwords: la ..."
    assert of(facts_of(text), "alto").syllables == 4


def test_notes_as_far_as_is_easy_count_in_the_span(facts_of: Measure) -> None:
    assert str(of(facts_of("soprano: 1 5 1'? - |"), "soprano").highest) == "C5"


def test_an_octave_of_its_own_moves_a_voice(facts_of: Measure) -> None:
    facts = facts_of("octave: bass -2, alto 1\nall: 1 5, 1 - |", "D4")
    assert (str(of(facts, "bass").lowest), str(of(facts, "bass").highest)) == ("A1", "D2")
    assert (str(of(facts, "alto").lowest), str(of(facts, "tenor").lowest)) == ("A4", "A2")


Divided = tuple[Degree, ...]


def divided(score: Score, voice: str, *below: Divided, graces: Divided = ()) -> Score:
    """The score with notes put below the first notes of a voice, and grace notes before all."""

    def part_of(part: Part) -> Part:
        if part.voice != voice:
            return part
        under: Sequence[Divided] = [*below, *[()] * len(part.events)]
        events = tuple(
            replace(event, below=notes, graces=graces) if isinstance(event, Note) else event
            for event, notes in zip(part.events, under, strict=False)
        )
        return replace(part, events=events)

    return replace(score, parts=tuple(map(part_of, score.parts)))


def measured(score: Score) -> Facts:
    tonics = (Pitch.parse("C4"),)
    return measure("case", score, tempo=60, keys=tonics, passes=1, lead_in=4)


def test_a_voice_that_divides_reaches_from_its_lowest_note_to_its_highest(
    score_of: Reader,
) -> None:
    plain = score_of("alto: 3 4 5 -")
    facts = measured(divided(plain, "alto", (Degree(0), Degree(-3)), (Degree(1),)))
    alto = of(facts, "alto")
    assert (str(alto.lowest), str(alto.highest), alto.ambitus_semitones) == ("G3", "G4", 12)
    assert alto.notes == 3
    assert alto.intervals == {1: 1, 2: 1}  # E4 F4 G4, whatever lies below
    assert facts.parts == 1
    assert alto.voiced_seconds == measured(plain).voices[0].voiced_seconds


def test_a_line_and_the_same_line_divided_are_two(score_of: Reader) -> None:
    plain = score_of("soprano+alto: 3 4 5 -")
    assert measured(plain).parts == 1
    assert measured(divided(plain, "alto", (Degree(0),))).parts == 2


def test_grace_notes_count_in_no_measure(score_of: Reader) -> None:
    plain = score_of("alto: 3 4 5 -")
    assert measured(divided(plain, "alto", graces=(Degree(14), Degree(-7)))) == measured(plain)


def test_the_largest_interval_is_named_as_it_is_spelled(facts_of: Measure) -> None:
    assert facts_of("mode: minor\nall: 6 #7 1' - |").largest_interval_name == "A2"
    assert facts_of("all: 7, 4 3 - |").largest_interval_name == "d5"
    assert facts_of("all: 1 #4 5 - |").largest_interval_name == "A4"


def test_step_share_is_taken_over_all_voices_together(facts_of: Measure) -> None:
    facts = facts_of("soprano: 1 2 3 4 |\nalto: 1 - 3 - |")
    assert (of(facts, "soprano").step_share, of(facts, "alto").step_share) == (1.0, 0.0)
    assert facts.step_share == 3 / 4


tokens = st.lists(
    st.builds(
        "{}{}{}".format,
        st.sampled_from(["", "", "#", "b"]),
        st.integers(1, 7),
        st.sampled_from(["", "", "'", ","]),
    ),
    min_size=2,
    max_size=12,
)


@given(tokens, st.sampled_from(["C4", "F#3", "Eb4", "B3"]), st.sampled_from(["major", "minor"]))
@settings(
    max_examples=settings.default.max_examples // 2,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_ranges_and_intervals_agree_with_music21(
    facts_of: Measure, line: list[str], tonic: str, mode: str
) -> None:
    facts = facts_of(f"mode: {mode}\nmeter: free\nalto: {' '.join(line)}", tonic)
    alto = of(facts, "alto")
    scale = oracle_scale_of(tonic, mode)
    pitches = []
    for token in line:
        digit = next(int(sign) for sign in token if sign.isdigit())
        octave = token.count("'") - token.count(",")
        pitch = scale[digit - 1]
        for move in ({1: "P8", -1: "P-8"}.get(octave), {"#": "A1", "b": "A-1"}.get(token[0])):
            pitch = pitch.transpose(oracle_interval.Interval(move)) if move else pitch
        pitches.append(pitch)
    assert alto.lowest is not None
    assert alto.highest is not None
    assert alto.lowest.midi == min(pitch.midi for pitch in pitches)
    assert alto.highest.midi == max(pitch.midi for pitch in pitches)
    sizes = [abs(oracle_interval.Interval(a, b).semitones) for a, b in pairwise(pitches)]
    assert alto.intervals == {size: sizes.count(size) for size in sorted(set(sizes))}


def oracle_scale_of(tonic: str, mode: str) -> list[oracle_pitch.Pitch]:
    """One octave of the scale, upward from the tonic, by music21."""
    kind = oracle_scale.MajorScale if mode == "major" else oracle_scale.MinorScale
    low = oracle_pitch.Pitch(tonic.replace("b", "-"))
    high = low.transpose(oracle_interval.Interval("P8"))
    return list(kind(low).getPitches(low, high))
