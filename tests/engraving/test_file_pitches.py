"""Files sound in every key as music21, which reads them itself, moves them by a named interval."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Callable
from itertools import pairwise

import mido
import pytest
from music21 import converter
from music21 import interval as intervals
from music21 import pitch as pitches

from chorus_handbook.engraving.engine import midi, raw_svg
from chorus_handbook.engraving.file_layouts import interval
from chorus_handbook.engraving.score_file import PreparedFile
from chorus_handbook.pitch import LETTERS, Pitch

Text = Callable[[str], str]
#: The scales, the minor one's seventh raised, and the tonics of all keys, from 7 flats to 7 sharps.
SCALES = {"major": (0, 2, 4, 5, 7, 9, 11), "minor": (0, 2, 3, 5, 7, 8, 11)}
MAJOR = "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split()
MINOR = "Ab Eb Bb F C G D A E B F# C# G# D# A#".split()


def heard(xml: str, moved: str = "") -> Counter[int]:
    """How often the engraver sounds each MIDI note."""
    file = mido.MidiFile(file=io.BytesIO(midi(PreparedFile(xml).text("full"), moved)))
    messages = [message for track in file.tracks for message in track]
    return Counter(m.note for m in messages if m.type == "note_on" and m.velocity)


def expected(xml: str, written: str, wanted: str) -> Counter[int]:
    """The same by music21, moved from one tonic to the other by the interval between them."""
    score = converter.parse(xml, format="musicxml").toSoundingPitch().stripTies()
    low, high = (pitches.Pitch(name.replace("b", "-")) for name in (written, wanted))
    named = intervals.Interval(low, high)
    moved = (p.transpose(named) for note in score.recurse().notes for p in note.pitches)
    return Counter(p.midi for p in moved)


@pytest.mark.parametrize("name", ["21c", "24a", "33b", "42a", "43a", "61d", "72a", "13e", "99b"])
@pytest.mark.parametrize("tonic", ["Eb4", "Ab4", "A3", "Bb2", "E6"])
def test_files_sound_in_other_keys_and_octaves(name: str, tonic: str, file_text: Text) -> None:
    xml = file_text(name)
    moved = interval(Pitch.parse("C4"), Pitch.parse(tonic))
    assert heard(xml, moved) == expected(xml, "C4", tonic)


def scale(tonic: Pitch, fifths: int, mode: str) -> str:
    """A file with a scale in the key with so many sharps or flats."""
    notes = ""
    for steps, semitones in enumerate(SCALES[mode]):
        note = tonic.moved(steps, semitones)
        notes += (
            f'<note id="soprano-{steps + 1}"><pitch><step>{LETTERS[note.step]}</step>'
            f"<alter>{note.alter}</alter><octave>{note.octave}</octave></pitch>"
            "<duration>1</duration><type>quarter</type></note>"
        )
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>S</part-name>'
        '</score-part></part-list><part id="P1"><measure number="1"><attributes>'
        f"<divisions>1</divisions><key><fifths>{fifths}</fifths></key><time><beats>7</beats>"
        "<beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>"
        f"{notes}</measure></part></score-partwise>"
    )


@pytest.mark.parametrize(("tonics", "mode"), [(MAJOR, "major"), (MINOR, "minor")])
def test_every_key_is_reached_from_every_other(tonics: list[str], mode: str) -> None:
    """Those beside each other in the circle of fifths, and the furthest apart."""
    low = -7
    pairs = [*pairwise(tonics), *pairwise(tonics[::-1]), *zip(tonics, tonics[::-1], strict=True)]
    for written, wanted in pairs:
        fifths = low + tonics.index(written)
        xml = scale(Pitch.parse(f"{written}4"), fifths, mode)
        moved = interval(Pitch.parse(f"{written}4"), Pitch.parse(f"{wanted}4"))
        assert heard(xml, moved) == expected(xml, f"{written}4", f"{wanted}4"), (written, wanted)
        count = raw_svg(PreparedFile(xml).text("none"), transpose=moved).count('class="keyAccid"')
        assert count == abs(low + tonics.index(wanted)), (written, wanted)  # signs of the key
