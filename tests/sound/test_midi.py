"""Standard MIDI Files, byte by byte, and as two other readers hear them: music21's own reader and
pretty_midi."""

from __future__ import annotations

import io
import json
import struct
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

import music21
import pretty_midi
import pytest

from checked import Checked
from chorus_handbook.music.score import Meter
from chorus_handbook.pitch import Pitch
from chorus_handbook.sound.midi import MidiPiece, midi_file
from chorus_handbook.sound.timed import TimedPass

Reading = Callable[..., TimedPass]

VARIABLE_LENGTH = [
    (0x7F, "7F"),
    (0x80, "81 00"),
    (0x2000, "C0 00"),
    (0x3FFF, "FF 7F"),
    (0x4000, "81 80 00"),
]
"""Numbers and their bytes in a Standard MIDI File (SMF 1.0, from memory)."""


def chunks(data: bytes) -> Iterator[tuple[str, bytes]]:
    """The chunks of a file: four letters, a length of four bytes, the contents."""
    at = 0
    while at < len(data):
        name, length = struct.unpack(">4sL", data[at : at + 8])
        yield name.decode(), data[at + 8 : at + 8 + length]
        at += 8 + length
    assert at == len(data)


def piece(timed: TimedPass, meter: str = "4/4", tempo: float = 120, tonic: str = "C4") -> bytes:
    beats, unit = map(int, meter.split("/"))
    made = MidiPiece("Low tide", timed, Meter(beats, unit), tempo, Pitch.parse(tonic))
    return midi_file(made)


def test_the_header_is_that_of_the_standard(timed: Reading) -> None:
    """Format 1, one track for the tempo and one for each voice, ticks a quarter."""
    found = list(chunks(piece(timed("upper: 1 2 3 - |"))))
    assert found[0] == ("MThd", struct.pack(">HHH", 1, 3, 48))
    assert [name for name, _ in found] == ["MThd", "MTrk", "MTrk", "MTrk"]
    assert all(track.endswith(b"\xff\x2f\x00") for _, track in found[1:])


def test_the_tempo_is_that_of_the_standard(timed: Reading) -> None:
    """120 beats a minute are 500,000 microseconds a quarter (MIDI Association)."""
    tempo = next(data for name, data in chunks(piece(timed("alto: 1 |"))) if name == "MTrk")
    assert bytes.fromhex("FF 51 03 07 A1 20") in tempo
    assert bytes.fromhex("FF 58 04 04 02 18 08") in tempo  # 4/4


def test_in_compound_time_the_beat_is_a_dotted_quarter(timed: Reading) -> None:
    """80 dotted quarters a minute are 120 quarters; 6/8 is clicked in dotted quarters."""
    data = piece(timed("meter: 6/8\nalto: 1 2 |"), "6/8", 80)
    (_, header), (_, tempo), *_ = chunks(data)
    assert struct.unpack(">H", header[4:]) == (32,)
    assert bytes.fromhex("FF 51 03 07 A1 20") in tempo
    assert bytes.fromhex("FF 58 04 06 03 24 08") in tempo


@pytest.mark.parametrize(("number", "coded"), VARIABLE_LENGTH)
def test_times_are_numbers_of_variable_length(timed: Reading, number: int, coded: str) -> None:
    """A note that lasts so many ticks: its end is so far behind its beginning."""
    note = timed("alto: 1 |")
    (voice,) = note.voices
    long = replace(voice, notes=(replace(voice.notes[0], length=number, syllable=None),))
    data = piece(replace(note, voices=(long,), length=number))
    track = list(chunks(data))[2][1]
    on = bytes.fromhex("90 3C 40")  # note 60 on channel 1, velocity 64 of mezzo forte
    assert bytes.fromhex("00") + on + bytes.fromhex(coded) + bytes.fromhex("80 3C 00") in track


@pytest.mark.parametrize(
    ("tonic", "mode", "coded"),
    [("Eb4", "major", "FD 00"), ("F#4", "minor", "03 01"), ("D4", "dorian", "00 01")],
)
def test_the_key_is_named(timed: Reading, tonic: str, mode: str, coded: str) -> None:
    """Sharps as a signed byte, then 0 for major and 1 for minor."""
    data = piece(timed(f"mode: {mode}\nalto: 1 |"), tonic=tonic)
    assert bytes.fromhex(f"FF 59 02 {coded}") in list(chunks(data))[1][1]


def read_by_music21(data: bytes) -> tuple[int, dict[str, list[tuple[int, int, int]]]]:
    """Ticks a quarter, and for each track by name its notes: onset and length in ticks, number.
    The events are those of music21's reader of MIDI files, which is its own."""
    file = music21.midi.MidiFile()
    file.readstr(data)
    found: dict[str, list[tuple[int, int, int]]] = {}
    for track in file.tracks[1:]:
        now, name = 0, ""
        open_notes: dict[tuple[int, int], int] = {}
        notes = []
        for event in track.events:
            if event.isDeltaTime():
                now += event.time
            elif event.isNoteOn():
                open_notes[event.channel, event.pitch] = now
            elif event.isNoteOff():
                onset = open_notes.pop((event.channel, event.pitch))
                number = event.pitch if event.channel != 10 else -event.pitch
                notes.append((onset, now - onset, number))
            elif event.type == music21.midi.MetaEvents.SEQUENCE_TRACK_NAME:
                name = event.data.decode()
        assert not open_notes
        found[name] = sorted(notes)
    return file.ticksPerQuarterNote, found


def struck(notes: list[dict[str, Any]]) -> list[tuple[int, int, list[int]]]:
    """Onset, length and pitches of every sound: a note that a glide joins is no new one."""
    found: list[tuple[int, int, list[int]]] = []
    for note in notes:
        if note.get("joined"):
            at, _, pitches = found.pop()
            found.append((at, note["at"] + note["length"] - at, pitches))
        else:
            found.append((note["at"], note["length"], note["semitones"]))
    return found


def test_music21_reads_what_notes_json_says(demo: Checked) -> None:
    compared = 0
    for slug, heard in demo.heard.items():
        reported = json.loads(heard.notes)
        beat = demo.scores[slug].meter.beat
        division, found = read_by_music21(heard.midi)
        assert division * beat == reported["ticks_per_beat"]
        drums = {"high": -76, "middle": -37, "low": -77}
        for voice in reported["voices"]:
            expected = [
                (at, length, reported["keys"][0]["midi"] + semitones)
                for at, length, pitches in struck(voice["notes"])
                for semitones in pitches
            ] + [
                (note["at"], note["length"], drums[note["spoken"]])
                for note in voice["notes"]
                if "spoken" in note
            ]
            assert found[voice["label"]] == sorted(expected), (slug, voice["name"])
            compared += len(expected)
    assert compared > 1500


@pytest.mark.parametrize(
    "slug", ["dropping-anchor", "high-water", "skipping-stones", "ratlines", "through-the-lock"]
)
def test_pretty_midi_hears_the_same_seconds(demo: Checked, slug: str) -> None:
    reported: Mapping[str, Any] = json.loads(demo.heard[slug].notes)
    second = 60 / (reported["tempo"] * reported["ticks_per_beat"])
    file = pretty_midi.PrettyMIDI(io.BytesIO(demo.heard[slug].midi))
    heard = {i.name: sorted((n.start, n.end, n.pitch) for n in i.notes) for i in file.instruments}
    for voice in reported["voices"]:
        expected = sorted(
            (note["at"] * second, (note["at"] + note["length"]) * second, 60 + semitones)
            for note in voice["notes"]
            for semitones in note["semitones"]
        )
        found = heard[voice["label"]]
        shift = reported["keys"][0]["midi"] - 60
        assert [n[2] for n in found] == [n[2] + shift for n in expected]
        for (start, end, _), (at, stop, _) in zip(found, expected, strict=True):
            assert (start, end) == pytest.approx((at, stop), abs=0.0005)


def test_syllables_stand_with_their_notes(demo: Checked) -> None:
    file = pretty_midi.PrettyMIDI(io.BytesIO(demo.heard["high-water"].midi))
    assert [(lyric.text, lyric.time) for lyric in file.lyrics] == [("mah", 0.0)] * 4


def test_syllables_of_any_writing_are_kept(timed: Reading) -> None:
    data = piece(timed("words: grün тихо\nalto: 1 2 |"))
    assert "grün".encode() in data and "тихо".encode() in data


def test_a_glide_bends_and_comes_back(timed: Reading) -> None:
    """An octave upward of a range of two octaves: half of 8191 where the glide arrives. Its goal is
    not struck anew: the bend stays until that note ends."""
    file = pretty_midi.PrettyMIDI(io.BytesIO(piece(timed("alto: 1~ - - - | 1' - - - |"))))
    (instrument,) = file.instruments
    bends = [(bend.time, bend.pitch) for bend in instrument.pitch_bends]
    assert [note.start for note in instrument.notes] == [0.0]
    assert bends[-1] == (4.0, 0)
    assert bends[-2] == (2.0, 4096)
    rising = [pitch for _, pitch in bends[:-1]]
    assert rising == sorted(rising) and len(rising) > 30
    halfway = min(bends[:-1], key=lambda bend: abs(bend[0] - 1.0))[1]
    assert halfway == pytest.approx(8191 / 4, rel=0.02)
    controls = [(change.number, change.value) for change in instrument.control_changes]
    assert controls[:3] == [(101, 0), (100, 0), (6, 24)]


def test_a_siren_is_struck_once_and_bends_through(timed: Reading) -> None:
    text = "words: oo ...\nalto: 1~ - 5~ - | 1 - 0 0 |"
    (instrument,) = pretty_midi.PrettyMIDI(io.BytesIO(piece(timed(text)))).instruments
    assert [(note.start, note.end) for note in instrument.notes] == [(0.0, 3.0)]
    bends = {bend.time: bend.pitch for bend in instrument.pitch_bends}
    assert bends[1.0] == round(8191 * 7 / 24) and bends[2.0] == 0


def test_a_hairpin_on_a_held_note_is_expression(timed: Reading) -> None:
    """Controller 11 (MIDI 1.0: expression), in proportion to the level, as velocity is. p lies 9 dB
    below f, so half-way the level is 4.5 dB below it: 76 of 127."""
    data = piece(timed("alto: p < 1 - - - | f 1 - - - |"), "4/4", 60)
    (instrument,) = pretty_midi.PrettyMIDI(io.BytesIO(data)).instruments
    assert [note.velocity for note in instrument.notes] == [90, 90]
    found = {
        change.time: change.value for change in instrument.control_changes if change.number == 11
    }
    values = [value for at, value in sorted(found.items()) if at < 4]
    assert values == sorted(values) and len(values) > 30
    assert found[0.0] == round(127 * 0.251 / 0.708)
    assert min(abs(found[at] - 76) for at in found if abs(at - 2) < 0.1) <= 2
    assert found[4.0] == 127


def test_grace_notes_are_heard_by_pretty_midi(timed: Reading) -> None:
    """An eighth of a beat each, before the beat; none before the file begins."""
    tune = "M:4/4\nL:1/4\nK:C\nV:alto\n{b}C2 {ef}D2|"
    data = piece(timed(tune, "abc"), "4/4", 60)
    (instrument,) = pretty_midi.PrettyMIDI(io.BytesIO(data)).instruments
    heard = sorted((note.start, note.end, note.pitch) for note in instrument.notes)
    expected = [(0, 1.75, 60), (1.75, 1.875, 76), (1.875, 2, 77), (2, 4, 62)]
    assert [one for note in heard for one in note] == pytest.approx(
        [one for note in expected for one in note]
    )


def test_a_meter_that_no_file_can_count_is_still_in_time(timed: Reading) -> None:
    """The beat of 4/32 at 20 a minute would be a quarter of 24 seconds, more than 24 bits hold."""
    data = piece(timed("meter: 4/32\nalto: 1 2 3 4 |"), "4/32", 20)
    (instrument,) = pretty_midi.PrettyMIDI(io.BytesIO(data)).instruments
    assert [note.start for note in instrument.notes] == pytest.approx([0, 3, 6, 9])


def test_it_is_the_same_on_every_build(timed: Reading) -> None:
    made = MidiPiece("Low tide", timed("alto: 1 2 |"), Meter(4, 4), 84, Pitch.parse("C4"))
    assert midi_file(made) == midi_file(made)
