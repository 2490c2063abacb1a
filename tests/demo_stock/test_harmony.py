"""Every chord of the demo: nothing sounds together that is not meant to, and each is called by its
name. Both are held against music21."""

from __future__ import annotations

import re

import pytest
from lxml import etree
from music21 import harmony, interval, key, pitch, roman

from checked import Checked
from chorus_handbook.engraving.mei import write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.entries.model import Entry
from chorus_handbook.sound.chords import named_chords, sounding_chords
from chorus_handbook.sound.timed import in_time
from sounding_chords import heard, spelled

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
    # Rounds on one chord or two: any line may be the lowest, and so may the fifth of a chord.
    "four-winds": {"Perfect Fourth", "major triad"},
    "grey-morning": {"major triad", "minor triad"},
    "noon-bells": {"Perfect Fourth", "Perfect Fourth with octave doublings", "major triad"},
    "three-ripples": {"Perfect Fourth", "major triad"},
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
    "ringing-glass": {"dominant seventh chord"},
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
IN_PARTS = (
    *MEANT,
    *("paired-oars", "one-berth", "up-the-mast", "four-lights-on", "from-the-masthead"),
    *("lamps-out", "one-wave-behind"),
)


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


#: The chords of the demo as they were named by hand from the notation, in the first key: bar by
#: bar, a pickup being bar 0, each symbol with its Roman numeral.
NAMED_BY_HAND = {
    "dropping-anchor": "2: C I, C6 Iadd6, Cmaj7 Imaj⁷, C I",
    "four-lights-on": "2: D I",
    "four-winds": (
        "3: C/E I⁶, G/D V⁶₄, C/E I⁶ | 4: C/G I⁶₄, G V, C/G I⁶₄ | 5: C I, G/B V⁶, C I"
        " | 6: G/B V⁶, C I | 7: C/E I⁶, G/D V⁶₄, C/E I⁶ | 8: C/G I⁶₄, G V, C/G I⁶₄"
        " | 9: C I, G/B V⁶, C I | 10: G/B V⁶, C I | 11: C/E I⁶, G/D V⁶₄, C/E I⁶"
        " | 12: C/G I⁶₄, G V, C/G I⁶₄ | 13: C I, C I"
    ),
    "grey-morning": (
        "5: Dm i, C VII | 6: Dm i | 7: Dm/F i⁶, C/E VII⁶ | 8: Dm/F i⁶ | 9: Dm/A i⁶₄, C/G VII⁶₄"
        " | 10: Dm/A i⁶₄ | 11: Dm i, C VII | 12: Dm i"
    ),
    "herring-fleet": (
        "5: D I | 6: D I | 7: D I, G IV | 8: D I | 9: D/F♯ I⁶, G IV | 10: A7/G V⁴₂, D/F♯ I⁶"
        " | 11: D I, G/D IV⁶₄ | 12: A7/C♯ V⁶₅, D I | 13: D I, G/D IV⁶₄ | 14: A7/C♯ V⁶₅, D I"
        " | 15: D I, G IV | 16: D I"
    ),
    "high-water": "1: C I, Am7 vi⁷ | 2: Dm7 ii⁷, F IV | 3: G7sus4 V⁷sus4, G7 V⁷ | 4: C I",
    "lamps-out": "1: C I",
    "letting-out-the-chain": (
        "1: C I, E7 III⁷ | 2: A7 VI⁷, D7 II⁷ | 3: G7sus4 V⁷sus4, G7 V⁷ | 4: C I"
    ),
    "long-tide": "1: D I | 2: G/D IV⁶₄ | 3: Em/G ii⁶ | 4: A7 V⁷ | 5: D I",
    "noon-bells": (
        "3: B♭ I | 4: B♭/F I⁶₄ | 5: B♭/D I⁶ | 6: B♭ I | 7: B♭ I | 8: B♭/F I⁶₄ | 9: B♭/D I⁶"
    ),
    "ringing-glass": "1: B♭ I | 2: B♭7 I⁷ | 3: B♭ I",
    # Bar 7 ends with a ninth over a chord that has no third: it has no name.
    "ropes-fast": (
        "1: D I, G/D IV⁶₄ | 2: C VII | 3: G IV, G/B IV⁶ | 4: Dsus4 Isus4, D I | 5: Bm7 vi⁷"
        " | 6: Em7 ii⁷, F♯ø7/E iiiø⁴₂ | 7: Am7 v⁷ | 8: D I"
    ),
    "three-strands": (
        "0: Dm i | 1: Gm7 iv⁷, C7 VII⁷ | 2: Fmaj7 IIImaj⁷, B♭maj7 VImaj⁷ | 3: Eø7 iiø⁷, A7 V⁷"
    ),
    "three-ripples": (
        "5: D I, G/D IV⁶₄ | 6: D I | 7: D/F♯ I⁶, G IV | 8: D/F♯ I⁶ | 9: D/A I⁶₄, G/B IV⁶"
        " | 10: D/A I⁶₄ | 11: D I, G/D IV⁶₄ | 12: D I"
    ),
    "through-the-lock": (
        "1: D I, Bm/D vi⁶ | 2: G/D IV⁶₄, Em7/D ii⁴₂ | 3: C♯ø7 viiø⁷, A7/C♯ V⁶₅"
        " | 4: F♯m7/C♯ iii⁴₃, Dmaj7/C♯ Imaj⁴₂ | 5: D I"
    ),
}
#: What music21 calls otherwise.
OTHERWISE = {
    "C6": "Am7/C",  # ours goes by the lowest note
    "G7sus4": "GsusaddF,omitD",  # the same, note by note
    "Dsus4": "Dsus",
}
#: music21 has no symbol for a seventh without its fifth, but a name; ours has the scale's fifth.
WITHOUT_FIFTH = {
    "incomplete dominant-seventh chord": ("7",),
    "incomplete minor-seventh chord": ("m7", "ø7"),
    "incomplete major-seventh chord": ("maj7",),
}
#: Numerals that music21 writes otherwise: it takes C6 for a seventh and a suspension for minor. The
#: signs before them are left out here: it counts VI and VII of minor from where they are raised.
NUMERALS_OTHERWISE = {"Iadd6": "vi", "Isus4": "i", "V⁷sus4": "v"}


def test_the_chords_are_those_named_by_hand(demo: Checked) -> None:
    found: dict[str, str] = {}
    for slug, exercise in demo.book.exercises.items():
        bars: dict[int, list[str]] = {}
        for one in exercise.chords:
            facts = demo.facts[slug]
            text = f"{one.name.symbol(facts.keys[0])} {one.name.numeral(facts.mode)}"
            bars.setdefault(one.bar, []).append(text)
        if bars:
            found[slug] = " | ".join(f"{bar}: {', '.join(row)}" for bar, row in bars.items())
    assert found == NAMED_BY_HAND


@pytest.mark.parametrize("slug", NAMED_BY_HAND)
def test_music21_gives_the_chords_these_names(demo: Checked, slug: str) -> None:
    score, tonic = demo.scores[slug], demo.facts[slug].keys[0]
    sounding, beat = score.sounding(), score.meter.beat
    sounds = {float(sounding(at * beat) / beat): sound for at, sound in heard(score, tonic)}
    letter = tonic.letter.replace("b", "-")
    in_key = key.Key(letter.lower() if score.mode == "minor" else letter)
    first = {one.name: one for one in demo.book.exercises[slug].chords}
    for name, one in first.items():
        sound, ours = sounds[one.at], name.symbol(tonic)
        if suffixes := WITHOUT_FIFTH.get(sound.commonName):
            bass = "" if sound.bass() is sound.root() else f"/{note_name(sound.bass())}"
            assert ours in [f"{note_name(sound.root())}{suffix}{bass}" for suffix in suffixes]
        else:
            theirs = harmony.chordSymbolFigureFromChord(sound)
            assert theirs == OTHERWISE.get(ours, ours.replace("♯", "#").replace("♭", "-"))
        numeral = name.numeral(score.mode)
        plain = re.sub("[^ivIV]", "", numeral.partition("add")[0].partition("sus")[0])
        theirs = roman.romanNumeralFromChord(sound, in_key).romanNumeralAlone.lstrip("b#-")
        assert theirs == NUMERALS_OTHERWISE.get(numeral, plain)


def note_name(one: pitch.Pitch) -> str:
    return str(one.name).replace("#", "♯").replace("-", "♭")


#: A score that its author engraved is not written by us.
WRITTEN_BY_US = [slug for slug in NAMED_BY_HAND if slug not in ("ropes-fast", "through-the-lock")]


@pytest.mark.parametrize("slug", WRITTEN_BY_US)
def test_symbols_are_spelled_as_the_notes_are_engraved_in_every_key(
    demo: Checked, slug: str
) -> None:
    """The root and the bass of every symbol are letters of notes that sound, the bass that of the
    lowest."""
    assert demo.config.chorus
    score, facts = demo.scores[slug], demo.facts[slug]
    timed = in_time(score, demo.config.chorus)
    chords = {chord.at / timed.ticks: chord for chord in sounding_chords(timed, 3)}
    written = write(score.written, demo.config.chorus)
    for tonic in {*facts.keys}:
        letters = engraved_letters(write_mei(written, tonic))
        for one in named_chords(timed):
            notes = chords[one.at].notes
            root, *bass = re.findall("(?:^|/)([A-G][♯♭]*)", one.name.symbol(tonic))
            lowest = min(notes, key=lambda note: note.semitones)
            assert root in {letters[note.drawn] for note in notes}
            assert (bass or [root]) == [letters[lowest.drawn]]


def engraved_letters(mei: str) -> dict[str, str]:
    """The letter and sign of every note of an MEI file, by its id."""
    signs = {"s": "♯", "f": "♭", "n": "", "ss": "♯♯", "x": "♯♯", "ff": "♭♭"}
    return {
        note.get("{http://www.w3.org/XML/1998/namespace}id"): note.get("pname").upper()
        + signs[note.get("accid", note.get("accid.ges", "n"))]
        for note in etree.fromstring(mei.encode()).iter("{*}note")
    }
