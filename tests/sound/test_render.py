"""Runs as samples, against an independent reading of the same exercise and what was asked for."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import mido
import numpy as np
import pytest
from numpy.typing import NDArray

from checked import Checked
from chorus_handbook.sound.instrument import ComputedTones
from chorus_handbook.sound.render import PEAK, RELEASE, render
from chorus_handbook.sound.schedule import Event, Glide, PlaybackOptions, run_seconds, schedule
from chorus_handbook.sound.tone import RATE

Heard = NDArray[np.float64]


def pitch(sound: Heard) -> float:
    """The MIDI number of a tone's strongest partial, by a long padded transform."""
    window = sound * np.hanning(len(sound))
    size = 1 << 20
    spectrum = np.abs(np.fft.rfft(window, size))
    at = int(spectrum.argmax())
    return float(69 + 12 * np.log2(at * RATE / size / 440))


def note(
    midi: float,
    at: float = 0.0,
    length: float = 1.0,
    voice: str | None = "alto",
    glide: Glide | None = None,
) -> Event:
    return Event(
        at, length, "note", 0, voice, "alto-1", midi, 0.7, glides=(glide,) if glide else ()
    )


def alone(sound: Heard, begin: float, end: float) -> Heard:
    return sound[round(begin * RATE) : round(end * RATE)]


@pytest.mark.parametrize("midi", [69, 72, 76.863, 79.02])
def test_a_note_sounds_at_its_very_pitch(midi: float) -> None:
    """By an FFT; a strongest partial other than the first is an octave or a twelfth above."""
    found = pitch(alone(render([note(midi)], 1, {}, ComputedTones()), 0.05, 0.95)) - midi
    partials = [12 * np.log2(n) for n in range(1, 7)]
    assert min(abs(found - partial) for partial in partials) < 0.01


def test_a_note_begins_when_it_is_due_and_ends_without_a_click() -> None:
    sound = render([note(69, at=0.5, length=0.4)], 1, {}, ComputedTones())
    loud = np.flatnonzero(np.abs(sound) > 0.1 * PEAK)
    assert not sound[: round(0.5 * RATE)].any()
    assert abs(loud[0] / RATE - 0.5) < 0.005
    assert not sound[round((0.9 + RELEASE) * RATE) + 1 :].any()
    at_end = alone(sound, 0.9 + RELEASE - 0.004, 0.9 + RELEASE)
    assert np.abs(at_end).max() < 0.05


@pytest.mark.parametrize("midi", [40, 60.14, 79])
def test_a_note_is_held_for_as_long_as_it_is_written(midi: float) -> None:
    sound = render([note(midi, length=14.0)], 14, {}, ComputedTones())
    found = pitch(alone(sound, 12, 13.9)) - midi
    partials = [12 * np.log2(n) for n in range(1, 7)]
    assert min(abs(found - partial) for partial in partials) < 0.01
    late, later = (np.sqrt(np.mean(alone(sound, t, t + 1) ** 2)) for t in (6, 12.9))
    assert late == pytest.approx(later, rel=0.06)
    assert later > 0.25 * np.sqrt(np.mean(alone(sound, 0.1, 1.1) ** 2))


def test_a_glide_moves_evenly_in_pitch() -> None:
    gliding = note(69, length=4.0, glide=Glide(1.0, 4.0, 81))
    sound = render([gliding], 4, {}, ComputedTones())
    for moment in (0.5, 1.75, 2.5, 3.25):
        piece = alone(sound, moment - 0.06, moment + 0.06)
        expected = 69 + max(0.0, (moment - 1) / 3 * 12)
        found = pitch(piece) - expected
        assert min(abs(found - 12 * np.log2(n)) for n in range(1, 5)) < 0.12, moment


def test_a_siren_is_not_struck_anew_where_it_turns() -> None:
    """Up a fifth and down again: no attack at the turning point, where a struck note has one."""
    up, down = Glide(0.0, 2.0, 67), Glide(2.0, 4.0, 60)
    one = Event(0.0, 4.0, "note", 0, "alto", "alto-1", 60, 0.7, glides=(up, down))
    siren = render([one], 4, {}, ComputedTones())
    struck = render([note(60, 0.0, 2.0, glide=up), note(67, 2.0, 2.0)], 4, {}, ComputedTones())

    def rise(sound: Heard) -> float:
        before, after = alone(sound, 1.7, 1.95), alone(sound, 2.02, 2.27)
        return 10 * float(np.log10(np.mean(after**2) / np.mean(before**2)))

    assert abs(rise(siren)) < 1.5 and rise(struck) > 2.5
    for moment in (1.0, 3.0):
        found = pitch(alone(siren, moment - 0.06, moment + 0.06)) - 63.5
        assert min(abs(found - 12 * np.log2(n)) for n in range(1, 5)) < 0.12


def test_a_held_note_swells() -> None:
    """From p to f, 12 dB apart: evenly in decibels, beside the same note without."""
    even = Event(0.0, 4.0, "note", 0, "alto", "alto-1", 69, 0.251)
    swelling = replace(even, swell=((4.0, 0.251 * 4),))
    plain, swelled = (render([one], 4, {}, ComputedTones()) for one in (even, swelling))
    for moment, decibels in ((0.5, 1.5), (2.0, 6.0), (3.5, 10.5)):
        pieces = [alone(sound, moment - 0.1, moment + 0.1) for sound in (swelled, plain)]
        found = 10 * np.log10(np.mean(pieces[0] ** 2) / np.mean(pieces[1] ** 2))
        assert found == pytest.approx(decibels, abs=0.3)


def test_ones_own_voice_is_louder_than_the_others() -> None:
    mine, yours = note(69), note(64, voice="bass")
    levels = {"alto": 1.0, "bass": 0.25}
    both = render([mine, yours], 1, levels, ComputedTones())
    size = 1 << 17
    spectrum = np.abs(np.fft.rfft(alone(both, 0.1, 0.9) * np.hanning(round(0.8 * RATE)), size))

    def strength(midi: float) -> float:
        at = round(440 * 2 ** ((midi - 69) / 12) * size / RATE)
        return float(spectrum[at - 20 : at + 20].max())

    assert 2.5 < strength(69) / strength(64) < 6
    assert not render([yours], 1, {"bass": 0.0}, ComputedTones()).any()


def test_nothing_is_louder_than_the_peak() -> None:
    many = [note(60 + n, voice=None) for n in range(12)]
    assert np.abs(render(many, 1, {}, ComputedTones())).max() == pytest.approx(PEAK)
    assert not render([], 1, {}, ComputedTones()).any()


@pytest.mark.parametrize(("slug", "label"), [("slipway", "Soprano"), ("high-water", "Bass")])
def test_every_demo_note_begins_and_sounds_as_the_midi_file_has_it(
    demo: Checked, slug: str, label: str
) -> None:
    """mido's reading of the file against samples: each note of a run in the first key by itself,
    its onset within 5 ms and its pitch within a cent (at any of its partials)."""
    notes = json.loads(demo.heard[slug].notes)
    options = PlaybackOptions(last=0, passes=1, count_in=False)
    name = next(one["name"] for one in notes["voices"] if one["label"] == label)
    events = [one for one in schedule(notes, options) if one.voice == name]
    expected = read_by_mido(demo.heard[slug].midi, label)
    assert len(events) == len(expected) > 3
    for event, (start, midi) in zip(events, expected, strict=True):
        heard = render([event], run_seconds(notes, options), {}, ComputedTones())
        onset = np.flatnonzero(np.abs(heard) > 0.05 * PEAK)[0] / RATE
        assert abs(onset - start) < 0.005
        found = pitch(alone(heard, start + 0.02, start + min(event.length, 1.0)))
        partials = [midi + 12 * np.log2(n) for n in range(1, 8)]
        assert min(abs(found - partial) for partial in partials) < 0.01, start


def read_by_mido(file: bytes, label: str) -> list[tuple[float, int]]:
    """Second and MIDI number of every attack on the track of this name."""
    read = mido.MidiFile(file=io.BytesIO(file))
    tempo = next(m.tempo for track in read.tracks for m in track if m.type == "set_tempo")
    track = next(t for t in read.tracks if t.name == label)
    found, ticks = [], 0
    for message in track:
        ticks += message.time
        if message.type == "note_on" and message.velocity:
            seconds = mido.tick2second(ticks, read.ticks_per_beat, tempo)
            found.append((seconds, message.note))
    return found
