"""Every chord of the demo, named by music21: nothing sounds together that is not meant to."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from music21 import chord, interval, pitch

from checked import Checked
from chorus_handbook.entries.model import Entry
from chorus_handbook.music.measure import sounding_pitches
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

#: What an exercise means to sound on a beat and music21 does not call consonant, by its name there.
MEANT = {
    # The scale goes on above the voices that have stopped, and passes by step.
    "dropping-anchor": {
        "Major Second with octave doublings",
        "incomplete major-seventh chord",
        "minor seventh chord",
        "major seventh chord",
    },
    # A fourth is what two rows tune there, above and below.
    "fog-signal": {"Perfect Fourth", "Perfect Eleventh"},
    # A round on two chords, and the second keeps its seventh.
    "herring-fleet": {
        "Perfect Fourth",
        "Major Second with octave doublings",
        "incomplete dominant-seventh chord",
        "major triad",
    },
    "high-water": {
        "minor seventh chord",
        "quartal trichord",  # a fourth held from the chord before, which falls to the third
        "incomplete dominant-seventh chord",
    },
    "letting-out-the-chain": {
        "dominant seventh chord",
        "incomplete dominant-seventh chord",
        "quartal trichord",
    },
    "long-tide": {"major triad", "dominant seventh chord"},
    # The low pair begins below the tonic, before the first beat of a bar.
    "ratlines": {"Perfect Fourth with octave doublings"},
    "ropes-fast": {
        "major triad",
        "minor seventh chord",
        "half-diminished seventh chord",
        "quartal trichord",
        "perfect-fourth minor tetrachord",  # a ninth held over, which falls to the octave
    },
    # A chain of sevenths.
    "three-strands": {
        "incomplete minor-seventh chord",
        "incomplete dominant-seventh chord",
        "incomplete major-seventh chord",
    },
    "through-the-lock": {
        "major triad",
        "minor seventh chord",
        "half-diminished seventh chord",
        "dominant seventh chord",
        "major seventh chord",
    },
}
IN_PARTS = (*MEANT, "paired-oars", "one-berth", "up-the-mast")


def heard(score: Score, tonic: Pitch) -> list[tuple[Fraction, chord.Chord]]:
    """What sounds on every beat, in the first key, lowest note first."""
    found = []
    moment = Fraction(0)
    while moment < score.length:
        sounding = {
            spelled(str(p))
            for part in score.parts
            for note in part.sung
            if note.onset <= moment < note.end
            for p in sounding_pitches(note, part, tonic, score.mode)
        }
        if sounding:
            notes = sorted((pitch.Pitch(name) for name in sounding), key=lambda p: p.ps)
            found.append((moment / score.meter.beat, chord.Chord(notes)))
        moment += score.meter.beat
    return found


def spelled(name: str) -> str:
    """music21 writes flats with a hyphen."""
    return re.sub("(?<=[A-G])b", "-", re.sub("(?<=[A-G])bb", "--", name))


def test_everything_in_parts_is_looked_at(demo: Checked, stock: dict[str, Entry]) -> None:
    with_parts = {
        slug
        for slug, facts in demo.facts.items()
        if facts.parts > 1 and stock[slug].front.sounding != "speech"
    }
    alone = {"handing-on-the-lamp"}  # one note, handed on
    assert with_parts - alone == {*IN_PARTS}


@pytest.mark.parametrize("slug", IN_PARTS)
def test_every_chord_is_consonant_or_meant(demo: Checked, slug: str) -> None:
    score, facts = demo.scores[slug], demo.facts[slug]
    rubs = {
        (float(beat), sound.commonName, " ".join(p.nameWithOctave for p in sound.pitches))
        for beat, sound in heard(score, facts.keys[0])
        if not sound.isConsonant() and sound.commonName not in MEANT.get(slug, set())
    }
    assert rubs == set()


@pytest.mark.parametrize("slug", MEANT)
def test_what_is_meant_does_sound(demo: Checked, slug: str) -> None:
    """No name is allowed that the exercise does not need."""
    score, facts = demo.scores[slug], demo.facts[slug]
    names = {s.commonName for _, s in heard(score, facts.keys[0]) if not s.isConsonant()}
    assert MEANT[slug] - names == set()


@pytest.mark.parametrize("slug", [slug for slug in IN_PARTS if slug != "fog-signal"])
def test_everyone_comes_to_rest_together(demo: Checked, slug: str) -> None:
    """The last chord is consonant and stands on the tonic."""
    facts = demo.facts[slug]
    _, last = heard(demo.scores[slug], facts.keys[0])[-1]
    assert last.isConsonant()
    assert (
        interval.Interval(pitch.Pitch(spelled(str(facts.keys[0]))), last.bass()).simpleName == "P1"
    )
