"""From written tones to sung notes: what divided notes, grace notes, accents, slurs, glides and the
ids of a file come to. Tied notes are one note, struck once."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.ensemble import Block, Frame, put_together
from chorus_handbook.music.performance import Performance, sing
from chorus_handbook.music.score import Degree, Meter, Note, Part, Rest, Span
from chorus_handbook.music.singers import Singers
from chorus_handbook.music.unfold import PlayedSegment
from chorus_handbook.music.written import Barline, Key, Piece, WrittenNote, WrittenVoice
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem

HERE = Place("case.md")
TIE = Place("case.md", 4, 7)


def pitches(names: str) -> tuple[Pitch, ...]:
    return tuple(map(Pitch.parse, names.split()))


def tone(name: str = "", length: int = 1, **more: Any) -> WrittenNote:
    """A tone called by its note name, or a rest."""
    return WrittenNote(HERE, Pitch.parse(name) if name else None, Fraction(length), 0, **more)


def sung(tones: Sequence[WrittenNote], times: int = 1) -> tuple[Performance, list[Problem]]:
    """The tones in C major, so often over."""
    piece = Piece(HERE, list(tones))
    verses = max(len(t.words) for t in tones)
    return sing([PlayedSegment(piece, n, times) for n in range(times)], HERE, Key(), 0, verses)


def events(tones: Sequence[WrittenNote], times: int = 1) -> list[Note | Rest]:
    """What tones without problems come to."""
    found, problems = sung(tones, times)
    assert problems == []
    return found.events


def notes(tones: Sequence[WrittenNote]) -> list[Note]:
    return [event for event in events(tones) if isinstance(event, Note)]


def slurs(tones: Sequence[WrittenNote], times: int = 1) -> list[tuple[int, int]]:
    """From and to when the slurs last."""
    return [(int(s.onset), int(s.end)) for s in sung(tones, times)[0].slurs]


def test_the_notes_of_a_voice_that_divides_are_degrees() -> None:
    (note,) = notes([tone("G4", below=pitches("E4 C4"))])
    assert note.degree == Degree(4)
    assert note.below == (Degree(2), Degree(0))


def test_grace_notes_take_no_time() -> None:
    first, second = notes([tone("C4", graces=pitches("D4 F#4")), tone("D4")])
    assert first.graces == (Degree(1), Degree(3, 1))
    assert (first.duration, second.onset) == (1, 1)


def test_a_tied_note_is_struck_once() -> None:
    tied = tone("C4", tied=True, graces=pitches("D4"), accents=("staccato",), id="n8")
    first = tone("C4", tie=TIE, graces=pitches("E4"), accents=("accent", "tenuto"), id="n7")
    (note,) = notes([first, tied])
    assert note.graces == (Degree(2),)
    assert note.accents == ("accent", "tenuto")
    assert (note.drawn, note.duration) == ("n7", 2)


def test_a_note_without_an_id_in_its_file_is_drawn_under_its_own() -> None:
    assert notes([tone("C4")])[0].drawn is None


def test_divided_notes_are_tied_together() -> None:
    chord = {"below": pitches("C4")}
    (note,) = notes([tone("E4", tie=TIE, **chord), tone("E4", tied=True, **chord)])
    assert (note.below, note.duration) == ((Degree(0),), 2)


def test_a_tie_to_other_divided_notes_is_a_slip() -> None:
    first = tone("E4", tie=TIE, below=pitches("C4"))
    found, (problem,) = sung([first, tone("E4", below=pitches("B3"))])
    assert len(found.events) == 2
    assert problem.place == TIE
    assert "only some of the notes" in problem.message


def test_spoken_tones_are_struck_and_tied_like_others() -> None:
    whole, rest = events([tone(spoken="high", tie=TIE), tone(spoken="high"), tone()])
    assert isinstance(whole, Note)
    assert (whole.spoken, whole.degree, whole.duration) == ("high", None, 2)
    assert isinstance(rest, Rest)
    (problem,) = sung([tone(spoken="high", tie=TIE), tone(spoken="low")])[1]
    assert problem.message.startswith("This tie leads to another note")


def test_a_staggered_breath_stands_behind_a_note_or_inside_it() -> None:
    after = tone("C4", 2, breath=HERE, staggered=True)
    assert notes([after])[0].breath == "staggered"
    inside = tone("C4", 2, breath=HERE, staggered=True, tie=TIE)
    (note,) = notes([inside, tone("C4", 3)])
    assert (note.breath, note.staggered) == (None, (2,))


def test_a_glide_starts_where_it_is_written_in_a_tied_note() -> None:
    first, _ = notes([tone("C4", glide=True), tone("D4")])
    assert first.glide_at == 0
    for early in (False, True):
        tied = [tone("C4", 2, tie=TIE, glide=early), tone("C4", 3, glide=True), tone("D4")]
        assert notes(tied)[0].glide_at == (0 if early else 2)


def test_a_rest_goes_on_like_a_note() -> None:
    silence = [tone("", 2, tie=TIE, fermata=True), tone(tied=True), tone("D4")]
    (rest, _) = sing([PlayedSegment(Piece(HERE, list(silence)))], HERE, Key(), 0, 0)[0].events
    assert (rest.onset, rest.duration, rest.fermatas) == (0, 3, (Span(Fraction(0), Fraction(2)),))


@pytest.mark.parametrize("after", [[], [tone()], [tone(spoken="middle")]])
def test_a_glide_to_no_pitch_is_none(after: list[WrittenNote]) -> None:
    assert notes([tone("C4", glide=True), *after])[0].glide_at is None


def test_slurs_reach_to_the_end_of_their_last_note() -> None:
    line = [
        tone("C4", slurs_begin=1),
        tone("D4"),
        tone("E4", tie=TIE, slurs_end=1),
        tone("E4", 2),
        tone("F4"),
    ]
    assert slurs(line) == [(0, 5)]


def test_slurs_lie_inside_one_another() -> None:
    inner = [tone("D4", slurs_begin=1), tone("E4", slurs_end=1)]
    line = [tone("C4", slurs_begin=1), *inner, tone("F4", slurs_end=1)]
    assert slurs(line) == [(0, 4), (1, 3)]
    line = [tone("C4", slurs_begin=2), tone("D4"), tone("E4", slurs_end=1), tone("F4", slurs_end=1)]
    assert slurs(line) == [(0, 3), (0, 4)]


def test_a_note_ends_one_slur_and_begins_the_next() -> None:
    """ABC 2.1, section 4.11: (c d (e) f g a)."""
    middle = tone("E4", slurs_begin=1, slurs_end=1)
    line = [tone("C4", slurs_begin=1), tone("D4"), middle, tone("F4"), tone("G4", slurs_end=1)]
    assert slurs(line) == [(0, 3), (2, 5)]


def test_what_is_no_slur() -> None:
    assert slurs([tone("C4", slurs_begin=1, tie=TIE), tone("C4", slurs_end=1)]) == []  # a tie
    assert slurs([tone("C4", slurs_end=1), tone("D4", slurs_begin=1)]) == []
    # What stays open when a repeat goes back is only sung the last time.
    repeated = [tone("C4"), tone("D4", slurs_begin=1)]
    assert slurs([*repeated, tone("E4", slurs_end=1)], times=2) == [(1, 3), (4, 6)]


def test_a_repeat_begins_its_slurs_anew() -> None:
    first = Piece(HERE, [tone("C4", slurs_begin=1)])
    again = Piece(HERE, [tone("D4", slurs_begin=1)])
    end = Piece(HERE, [tone("E4", slurs_end=1), tone("F4", slurs_end=1)])
    segments = [
        PlayedSegment(first),
        PlayedSegment(again),
        PlayedSegment(again, 1),
        PlayedSegment(end),
    ]
    found = sing(segments, HERE, Key(), 0, 0)[0].slurs
    assert [(s.onset, s.end) for s in found] == [(0, 5), (2, 4)]


def test_rests_at_its_ends_are_no_part_of_a_slur() -> None:
    line = [tone(slurs_begin=1), tone("C4"), tone("D4"), tone(slurs_end=1)]
    assert slurs(line) == [(1, 3)]


def test_a_part_has_the_slurs_of_its_voice(chorus: Chorus) -> None:
    line = [tone("C4", 2, slurs_begin=1), tone("D4", 2, slurs_end=1)]
    written = WrittenVoice(HERE, [Barline(HERE), Barline(HERE)], [Piece(HERE, list(line))], line)
    score, problems = put_together(
        [Block([(Singers(("alto",)), written)])], Frame(Key(), Meter()), chorus
    )
    assert problems == []
    assert score is not None
    (part,) = score.parts
    assert isinstance(part, Part)
    assert part.slurs == (Span(Fraction(0), Fraction(4)),)
