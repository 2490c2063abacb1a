"""What the player sounds, rendered through an OfflineAudioContext by the very code that plays in
the page, and measured: onsets, pitches, beats, changes without a click. Expected are readings of
our MIDI files by mido, music21's notes and intervals, and the project's list of facts."""

from __future__ import annotations

import base64
import json
import math
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import mido
import numpy as np
import pytest
from music21 import interval, note, stream
from music21 import pitch as named
from playwright.sync_api import Browser, Page, Route

from altered import serve_altered

RATE = 44_100
#: Ticks and actions as a live page has them, at times of the rendering.
RENDER = """async ({notes, options, levels, seconds, acts, rate, step}) => {
    const {Player} = await import('/assets/handbook/player.js');
    const {fetchPack} = await import('/assets/handbook/asset_loader.js');
    const {decodeInstrument} = await import('/assets/handbook/instrument.js');
    const context = new OfflineAudioContext(1, Math.round(seconds * rate), rate);
    const index = new URL('/assets/handbook/instrument.json', location.href);
    const instrument = await decodeInstrument(await fetchPack(index));
    const player = new Player(context, instrument, notes, options);
    player.mix(new Map(Object.entries(levels)));
    player.play();
    const origin = player.origin;
    const due = [...acts];
    for (let n = 1; n * step < seconds; n += 1) {
        context.suspend(n * step).then(() => {
            player.tick(false);
            while (due.length && due[0][0] <= n * step + 1e-9) {
                const [, name, given] = due.shift();
                if (name === 'mix') player.mix(new Map(Object.entries(given)));
                else player[name](given);
            }
            context.resume();
        });
    }
    const heard = (await context.startRendering()).getChannelData(0);
    let text = '';
    const bytes = new Uint8Array(heard.buffer);
    for (let n = 0; n < bytes.length; n += 32768) {
        text += String.fromCharCode(...bytes.subarray(n, n + 32768));
    }
    return {origin, heard: btoa(text)};
}"""
OPTIONS = {"mode": "once", "key": 0, "tempo": 1.0, "just": False, "countIn": False}


@dataclass(frozen=True)
class Heard:
    """`origin` is the second of the rendering at which the run began."""

    origin: float
    samples: np.ndarray[Any, np.dtype[np.float32]]

    def between(self, start: float, end: float) -> np.ndarray[Any, np.dtype[np.float32]]:
        return self.samples[round(start * RATE) : round(end * RATE)]


def render(
    page: Page,
    notes: dict[str, Any],
    seconds: float,
    *,
    levels: dict[str, float] | None = None,
    acts: list[tuple[float, str, Any]] | None = None,
    step: float = 0.1,
    **options: Any,
) -> Heard:
    """`acts`: what is done to the player when, at tenths of a second. `step`: how often it is asked
    to go on, in seconds."""
    given = {
        "notes": notes,
        "options": {**OPTIONS, **options},
        "levels": levels or {},
        "seconds": seconds,
        "acts": [list(act) for act in acts or []],
        "rate": RATE,
        "step": step,
    }
    found = page.evaluate(RENDER, given)
    samples = np.frombuffer(base64.b64decode(found["heard"]), dtype="<f4")
    return Heard(found["origin"], samples)


def wav(samples: np.ndarray[Any, Any], rate: int = RATE) -> bytes:
    """Samples from -1 to 1 as a WAV file."""
    data = (np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes()
    kind = struct.pack("<4sIHHIIHH", b"fmt ", 16, 1, 1, rate, 2 * rate, 2, 16)
    body = b"WAVE" + kind + struct.pack("<4sI", b"data", len(data)) + data
    return b"RIFF" + struct.pack("<I", len(body)) + body


def knocking_pack(page: Page) -> None:
    """An instrument whose tones are a knock of one millisecond after 70 ms of silence: onsets can
    be read off. It goes through the player's own loading and measuring."""
    tone = np.zeros(RATE)
    tone[round(0.07 * RATE) : round(0.071 * RATE)] = 0.9
    made = wav(tone)
    samples = [
        {"midi": m, "start": n * len(made), "bytes": len(made), "onset": 0, "power": [0.02] * 6}
        for n, m in enumerate(MIDIS)
    ]

    def index(route: Route) -> None:
        route.fulfill(json={"version": 1, "samples": samples})

    pack = made * len(samples)
    serve_altered(page, "instrument.json", index)
    serve_altered(page, "instrument.bin", lambda route: route.fulfill(body=pack))


MIDIS = range(36, 90, 3)


def onsets(heard: Heard) -> list[float]:
    """Seconds of the rendering at which a knock begins. A knock may be played faster or slower."""
    loud = np.abs(heard.samples) > 0.02
    found: list[float] = []
    for place in np.flatnonzero(loud):
        if not found or place / RATE - found[-1] > 0.02:
            found.append(place / RATE)
    return found


def pitch(piece: np.ndarray[Any, Any], rate: int = RATE) -> float:
    """The MIDI number of a tone: the strongest line of the spectrum, or the one an octave below if
    that is strong too; then the turning of its phase between two windows, which is far finer."""
    window = np.hanning(len(piece))
    size = 1 << 17
    spectrum = np.abs(np.fft.rfft(piece * window, size))
    line = int(np.argmax(spectrum))
    below = line // 2 - 20 + int(np.argmax(spectrum[line // 2 - 20 : line // 2 + 20]))
    if spectrum[below] > 0.25 * spectrum[line]:
        line = below
    hertz = line * rate / size
    half = len(piece) // 2
    turns = []
    for start in (0, half):
        part = piece[start : start + half] * np.hanning(half)
        time = (np.arange(half) + start) / rate
        turns.append(np.angle(np.sum(part * np.exp(-2j * np.pi * hertz * time))))
    turned = (turns[1] - turns[0] + math.pi) % (2 * math.pi) - math.pi
    hertz += turned / (2 * math.pi) * rate / half
    return 69 + 12 * math.log2(hertz / 440)


def swell(piece: np.ndarray[Any, Any], hertz: float, rate: int = RATE) -> tuple[float, float]:
    """How a narrow band around a frequency swells: how often a second, and how deeply (0 to 1)."""
    time = np.arange(len(piece)) / rate
    moved = piece * np.exp(-2j * np.pi * hertz * time)
    width = round(0.04 * rate)
    kernel = np.hanning(width) / np.hanning(width).sum()
    band = np.abs(np.convolve(moved, kernel, "valid"))[:: rate // 200]
    slow = np.polyval(np.polyfit(np.arange(len(band)), np.log(band), 3), np.arange(len(band)))
    even = band / np.exp(slow) - 1
    spectrum = np.abs(np.fft.rfft(even * np.hanning(len(even)), 1 << 15))
    rates = np.fft.rfftfreq(1 << 15, (rate // 200) / rate)
    spectrum[rates < 2] = 0
    return float(rates[np.argmax(spectrum)]), float(even.std() * math.sqrt(2))


def roughest(piece: np.ndarray[Any, Any]) -> float:
    """What is heard as a click: the largest piece of the sound above 5 kHz, where tones have next
    to nothing."""
    spread = np.fft.rfft(piece * np.hanning(len(piece)))
    spread[np.fft.rfftfreq(len(piece), 1 / RATE) < 5000] = 0
    return float(np.abs(np.fft.irfft(spread)).max())


def steepest(piece: np.ndarray[Any, Any]) -> float:
    """The largest jump from one sample to the next."""
    return float(np.abs(np.diff(piece)).max())


@pytest.fixture(scope="module")
def page(chromium: Browser, site_url: str) -> Iterator[Page]:
    """The player's modules need no page, only an address of the site."""
    page = chromium.new_page(service_workers="block")
    page.goto(site_url + "assets/handbook/instrument.json")
    yield page
    page.close()


@pytest.fixture(scope="module")
def knocks(chromium: Browser, site_url: str) -> Iterator[Page]:
    page = chromium.new_page(service_workers="block")
    page.goto(site_url + "assets/handbook/instrument.json")
    knocking_pack(page)
    yield page
    page.close()


def notes_of(site: Path, slug: str) -> dict[str, Any]:
    text = (site / "assets/handbook" / slug / "notes.json").read_text("utf-8")
    return dict(json.loads(text))


def read_by_mido(site: Path, slug: str) -> dict[str, list[tuple[float, float, int]]]:
    """(onset, end, MIDI number) of every sung note, in seconds, by the label of the voice."""
    file = mido.MidiFile(site / "assets/handbook" / slug / f"{slug}.mid")
    tempo = next(message.tempo for message in file.tracks[0] if message.type == "set_tempo")
    second = tempo / 1e6 / file.ticks_per_beat
    found: dict[str, list[tuple[float, float, int]]] = {}
    for track in file.tracks[1:]:
        now, sounding, name = 0, {}, ""
        for message in track:
            now += message.time
            if message.type == "track_name":
                name = message.name
            elif message.type == "note_on" and message.velocity and message.channel != 9:
                sounding[message.note] = now
            elif message.type in ("note_on", "note_off") and message.note in sounding:
                start = sounding.pop(message.note)
                found.setdefault(name, []).append((start * second, now * second, message.note))
    return {voice: sorted(notes) for voice, notes in found.items()}


def alone(notes: dict[str, Any], voice: str) -> dict[str, float]:
    return {one["name"]: float(one["name"] == voice) for one in notes["voices"]}


def seconds(notes: dict[str, Any], tempo: float) -> float:
    return float(notes["length"] / notes["ticks_per_beat"] * 60 / (notes["tempo"] * tempo))


@pytest.mark.parametrize(
    ("slug", "tempo"),
    [
        ("up-the-mast", 1.5),
        ("up-the-mast", 0.5),
        ("ropes-fast", 1.0),
        ("dropping-anchor", 1.5),
        ("quick-ferry", 0.5),
    ],
)
def test_every_note_begins_within_five_milliseconds(
    knocks: Page, demo_site: Path, slug: str, tempo: float
) -> None:
    notes = notes_of(demo_site, slug)
    read = read_by_mido(demo_site, slug)
    for voice in notes["voices"][:2]:
        heard = render(
            knocks,
            notes,
            seconds(notes, tempo) + 0.5,
            levels=alone(notes, voice["name"]),
            tempo=tempo,
        )
        expected = sorted({heard.origin + start / tempo for start, *_ in read[voice["label"]]})
        found = onsets(heard)
        assert len(found) == len(expected) > 2
        assert np.abs(np.array(found) - np.array(expected)).max() < 0.005


@pytest.mark.parametrize(
    ("slug", "key", "tempo"),
    [
        ("up-the-mast", 0, 0.8),
        ("up-the-mast", 3, 1.0),
        ("ropes-fast", 1, 1.2),
        ("dropping-anchor", 5, 0.5),
        ("high-water", 2, 1.0),
    ],
)
def test_every_pitch_is_within_a_cent(
    page: Page, demo_site: Path, slug: str, key: int, tempo: float
) -> None:
    """Keys by music21's intervals from the first one."""
    notes = notes_of(demo_site, slug)
    tonics = [named.Pitch(one["key"].replace("b", "-")) for one in notes["keys"]]
    moved = interval.Interval(tonics[0], tonics[key]).semitones
    measured = 0
    for voice in (notes["voices"][0], notes["voices"][-1]):
        heard = render(
            page,
            notes,
            seconds(notes, tempo) + 0.3,
            levels=alone(notes, voice["name"]),
            tempo=tempo,
            key=key,
        )
        for start, end, midi in read_by_mido(demo_site, slug)[voice["label"]]:
            piece = heard.between(
                heard.origin + start / tempo + 0.07,
                heard.origin + min(end / tempo, start / tempo + 2),
            )
            if len(piece) < 0.2 * RATE:
                continue
            assert abs(pitch(piece) - midi - moved) < 0.01, (voice["name"], start)
            measured += 1
    assert measured >= 9


#: 1200 * log2(ratio) less 100 a semitone: octave, just third 5/4 and fifth 3/2.
JUST = {0: 0.0, 4: 386.314 - 400, 7: 701.955 - 700}


def test_just_intonation_sounds_its_ratios(page: Page, demo_site: Path) -> None:
    """ "Up the mast" as its page has it, written out in music21: an arpeggio to the tenth and
    back, in D, its degrees tuned to the ratios of the tonic's major chord."""
    line = stream.Stream()
    for name in "C4 E4 G4 C5 E5 C5 G4 E4".split():
        line.append(note.Note(name, quarterLength=0.5))
    line.append(note.Note("C4", quarterLength=3))
    line = line.transpose(interval.Interval("M2"))
    notes = notes_of(demo_site, "up-the-mast")
    heard = render(
        page,
        notes,
        seconds(notes, 0.5) + 0.3,
        levels=alone(notes, "soprano"),
        tempo=0.5,
        key=2,
        just=True,
    )
    for one in line.notes:
        start = heard.origin + float(one.offset) * 60 / 38
        piece = heard.between(start + 0.07, start + min(2.0, float(one.quarterLength) * 60 / 38))
        cents = JUST[(one.pitch.midi - 62) % 12]
        assert abs(pitch(piece) - one.pitch.midi - cents / 100) < 0.01, one.nameWithOctave


def test_a_glide_moves_evenly_and_arrives(page: Page, demo_site: Path) -> None:
    """Half way in time is half way in semitones."""
    notes = notes_of(demo_site, "gull-on-the-wind")
    heard = render(page, notes, 8, levels=alone(notes, "soprano"), tempo=0.5)
    beat = 60 / (notes["tempo"] * 0.5)
    first = notes["voices"][0]["notes"][0]
    assert first["glide"] == [0, [7]] and first["length"] == 2 * notes["ticks_per_beat"]
    for part in (0.1, 0.25, 0.5, 0.75, 0.95):
        middle = heard.origin + part * 2 * beat
        piece = heard.between(middle - 0.05, middle + 0.05)
        assert abs(pitch(piece) - (60 + 7 * part)) < 0.02, part


def long_note(semitones: int, length: int = 20 * 48, **more: Any) -> dict[str, Any]:
    """C4, or a note so many semitones above it, held for twenty seconds by one voice."""
    one = {"id": "a-1", "drawn": "a-1", "at": 0, "length": length, "level": 0.7, **more}
    return {
        **interval_notes(7, 0.0),
        "length": length,
        "voices": [
            {
                "name": "a",
                "label": "a",
                "notes": [{**one, "semitones": [semitones], "cents": [0.0]}],
            }
        ],
    }


@pytest.mark.parametrize("semitones", [-22, 0, 1, 14, 26])
def test_a_note_is_held_for_as_long_as_it_is_written(page: Page, semitones: int) -> None:
    """Far longer than its tone was made; in tune, and without a step or a wave in its level."""
    heard = render(page, long_note(semitones), 21.5)
    begin = heard.origin
    levels = [
        np.sqrt(np.mean(heard.between(t, t + 0.2) ** 2)) for t in begin + np.arange(5, 19, 0.1)
    ]
    assert 20 * np.log10(max(levels) / min(levels)) < 1
    start = np.sqrt(np.mean(heard.between(begin + 0.1, begin + 0.3) ** 2))
    assert 20 * np.log10(levels[-1] / start) > -12
    assert pitch(heard.between(begin + 15, begin + 19)) == pytest.approx(60 + semitones, abs=0.01)
    assert np.abs(heard.between(begin + 20.1, begin + 21)).max() < 1e-5
    late = roughest(heard.between(begin + 5, begin + 19))
    assert late <= 1.2 * roughest(heard.between(begin + 0.5, begin + 2.5))


def test_a_long_note_is_taken_up_in_its_middle(page: Page) -> None:
    """After a pause, where the tone would long have ended."""
    acts = [(10.0, "pause", None), (11.0, "play", None)]
    heard = render(page, long_note(1), 19, acts=acts)
    before, after = heard.between(8, 9.9), heard.between(11.2, 13.1)
    assert np.abs(heard.between(10.2, 10.9)).max() < 1e-5
    assert np.sqrt(np.mean(after**2)) == pytest.approx(np.sqrt(np.mean(before**2)), rel=0.06)
    assert pitch(after) == pytest.approx(61, abs=0.01)


def test_no_sound_begins_behind_its_loop(page: Page) -> None:
    """From there, by the Web Audio standard, it would never go round."""
    begins = """async seconds => {
        const {Sounding} = await import('/assets/handbook/sounding.js');
        const tone = {loop: [3, 3.6]};
        return seconds.map(second => Sounding.prototype.hold.call({source: {}}, tone, second));
    }"""
    found = page.evaluate(begins, [0.5, 3.2, 3.6, 3.7, 10.1])
    assert found == pytest.approx([0.5, 3.2, 3.0, 3.1, 3.5])


def test_a_long_glide_arrives(page: Page) -> None:
    """An octave up over sixteen seconds, which takes far more of a tone than there is."""
    gliding = long_note(0, 16 * 48, glide=[0, [12]])
    heard = render(page, gliding, 17)
    for part in (0.25, 0.5, 0.75, 0.95):
        middle = heard.origin + part * 16
        assert abs(pitch(heard.between(middle - 0.05, middle + 0.05)) - (60 + 12 * part)) < 0.01


def interval_notes(upper: int, cents: float) -> dict[str, Any]:
    """C4 and a note above it, for eight seconds, in two voices."""

    def voice(name: str, semitones: int, off: float) -> dict[str, Any]:
        one = {"id": f"{name}-1", "drawn": f"{name}-1", "at": 0, "length": 384, "level": 0.7}
        return {
            "name": name,
            "label": name,
            "notes": [{**one, "semitones": [semitones], "cents": [off]}],
        }

    return {
        "version": 1,
        "slug": "case",
        "title": "Case",
        "tempo": 60,
        "ticks_per_beat": 48,
        "length": 384,
        "passes": 1,
        "lead_in": 0,
        "count_in": 4,
        "bar": 4,
        "pickup": 0,
        "keys": [{"key": "C4", "midi": 60}],
        "lead_chord": [[0]],
        "lead_cents": [0.0],
        "voices": [voice("upper", upper, cents), voice("lower", 0, 0.0)],
        "tuning": {"to": "tonic", "told": ""},
        "chords": [[0, 384]],
    }


#: Partials that beat, and beats a second in equal temperament: |p * f1 - q * f2|, f = 440 *
#: 2 ** ((m - 69) / 12). Computed.
BEATS = [(4, -13.686, 5, 10.382), (3, 15.641, 6, 14.118)]


@pytest.mark.parametrize(("upper", "cents", "partial", "beats"), BEATS)
def test_equal_thirds_beat_and_just_ones_stand(
    page: Page, upper: int, cents: float, partial: int, beats: float
) -> None:
    notes = interval_notes(upper, cents)
    band = partial * 261.626
    equal = render(page, notes, 5).between(0.5, 4.5)
    rate, depth = swell(equal, band)
    assert abs(rate - beats) < 0.15 and depth > 0.2
    just = render(page, notes, 5, just=True).between(0.5, 4.5)
    assert swell(just, band)[1] < depth / 8


HELD = """async ({equal, just, rate}) => {
    const {SteadyChord} = await import('/assets/handbook/reference_chord.js');
    const context = new OfflineAudioContext(1, 9 * rate, rate);
    const held = new SteadyChord(context, context.destination);
    held.sound(equal);
    context.suspend(4.5).then(() => { held.sound(just); context.resume(); });
    context.suspend(8.5).then(() => { held.end(); context.resume(); });
    return [...(await context.startRendering()).getChannelData(0)];
}"""


def test_a_reference_chord_stops_beating_when_it_is_tuned(page: Page) -> None:
    given = {"equal": [60, 64], "just": [60, 64 - 0.13686], "rate": RATE}
    heard = np.array(page.evaluate(HELD, given))
    before, after = heard[RATE // 2 : RATE * 9 // 2], heard[RATE * 10 // 2 : RATE * 17 // 2]
    rate, depth = swell(before, 5 * 261.626)
    assert abs(rate - 10.382) < 0.1
    assert swell(after, 5 * 261.626)[1] < depth / 20
    # Neither begun nor tuned nor ended with a click.
    assert steepest(heard) <= 1.02 * max(steepest(before), steepest(after))
    assert np.abs(heard[round(8.7 * RATE) :]).max() < 1e-6


def test_a_change_of_tempo_holds_from_the_next_note_on(knocks: Page, demo_site: Path) -> None:
    """Changed twice; the place in the pass is kept to the millisecond, nothing is heard twice."""
    notes = notes_of(demo_site, "up-the-mast")
    acts = [(1.0, "change", {"tempo": 1.5}), (1.8, "change", {"tempo": 0.5})]
    heard = render(knocks, notes, 12, levels=alone(notes, "soprano"), acts=acts)
    turns = [1.0 + 0.01 - heard.origin, 1.8 + 0.01 - heard.origin]
    expected = []
    for start, *_ in read_by_mido(demo_site, "up-the-mast")["Soprano"]:
        later = turns[0] + (start - turns[0]) / 1.5
        if start <= turns[0]:
            expected.append(start)
        elif later <= turns[1]:
            expected.append(later)
        else:
            there = turns[0] + (turns[1] - turns[0]) * 1.5
            expected.append(turns[1] + (start - there) / 0.5)
    found = np.array(onsets(heard)) - heard.origin
    assert len(found) == len(expected)
    assert np.abs(found - np.array(expected)).max() < 0.005


def test_a_pause_keeps_the_place(knocks: Page, demo_site: Path) -> None:
    notes = notes_of(demo_site, "up-the-mast")
    played = onsets(render(knocks, notes, 8, levels=alone(notes, "soprano")))
    acts = [(1.0, "pause", None), (3.0, "play", None)]
    paused = onsets(render(knocks, notes, 10, levels=alone(notes, "soprano"), acts=acts))
    # The knock of the note that is broken into lies behind it, so that nothing is added.
    assert len(paused) == len(played)
    moved = [before + (2.0 if before > 1.0 else 0) for before in played]
    assert np.abs(np.array(paused) - np.array(moved)).max() < 0.005
    assert not [one for one in paused if 1.05 < one < 3.0]


CHANGES = [
    ("silence", (2.0, "mix", {"soprano": 0, "alto": 1, "tenor": 1, "bass": 1})),
    ("tempo", (2.0, "change", {"tempo": 0.6})),
    ("tuning", (2.0, "change", {"just": True})),
    ("key", (2.0, "change", {"key": 2})),
    ("mode", (2.0, "change", {"mode": "climb"})),
    ("pause", (2.0, "pause", None)),
    ("stop", (2.0, "stop", None)),
]


@pytest.mark.parametrize(("name", "act"), CHANGES, ids=[name for name, _ in CHANGES])
def test_no_change_clicks(
    page: Page, demo_site: Path, name: str, act: tuple[float, str, Any]
) -> None:
    """Around a change the sound is nowhere steeper than it is by itself."""
    notes = notes_of(demo_site, "up-the-mast")
    bare = render(page, notes, 4)
    changed = render(page, notes, 4, acts=[act])
    assert np.allclose(bare.between(0, 1.99), changed.between(0, 1.99), atol=1e-6)
    rest = steepest(bare.between(0.5, 3.5))
    assert steepest(changed.between(1.98, 2.12)) < 1.15 * rest
    rough = [
        max(roughest(heard.between(at, at + 0.06)) for at in np.arange(1.96, 2.1, 0.03))
        for heard in (bare, changed)
    ]
    # In a new key notes begin, which is never as smooth as what only ends or bends.
    assert rough[1] < (5 if name == "key" else 3) * rough[0]
    difference = np.abs(bare.between(2.2, 2.5) - changed.between(2.2, 2.5)).max()
    # It has come about within 200 ms; "climb" differs only after the pass.
    assert (difference > 0.01) == (name != "mode")


def test_a_silenced_voice_is_silent_within_200_milliseconds(page: Page, demo_site: Path) -> None:
    notes = notes_of(demo_site, "up-the-mast")
    silence = (2.0, "mix", {one["name"]: 0 for one in notes["voices"]})
    heard = render(page, notes, 4, acts=[silence])
    assert np.abs(heard.between(1.5, 2.0)).max() > 0.1
    assert np.abs(heard.between(2.2, 4.0)).max() < 1e-5


def test_four_voices_do_not_overload(page: Page, demo_site: Path) -> None:
    for slug in ("ropes-fast", "three-strands", "herring-fleet"):
        notes = notes_of(demo_site, slug)
        assert np.abs(render(page, notes, min(seconds(notes, 1), 20)).samples).max() < 1.0, slug


def test_a_climb_moves_by_the_keys_with_their_chord_between(page: Page, demo_site: Path) -> None:
    """Three keys: every pass begins on its tonic, and the new key's chord stands before it."""
    notes = notes_of(demo_site, "up-the-mast")
    beats = notes["length"] / notes["ticks_per_beat"]
    beat = 60 / (notes["tempo"] * 1.5)
    one_key = (beats + notes["lead_in"]) * beat
    heard = render(page, notes, 3 * one_key, levels=alone(notes, "bass"), tempo=1.5, mode="climb")
    for key, tonic in enumerate((48, 49, 50)):
        start = heard.origin + key * one_key
        assert abs(pitch(heard.between(start + 0.03, start + beat / 2)) - tonic) < 0.02
        if key:
            chord = heard.between(start - 3 * beat, start - beat)
            spectrum = np.abs(np.fft.rfft(chord * np.hanning(len(chord)), 1 << 18))
            loudest = spectrum.max()
            for above in (0, 4, 7):
                line = 440 * 2 ** ((60 + key + above - 69) / 12) * (1 << 18) / RATE
                assert spectrum[round(line) - 20 : round(line) + 20].max() > 0.15 * loudest


def test_a_loop_comes_round_without_a_gap(knocks: Page, demo_site: Path) -> None:
    """Over the seam at which the next passes are laid out, too."""
    notes = notes_of(demo_site, "up-the-mast") | {"tempo": 6 * 76}
    passes = 18
    heard = render(
        knocks, notes, passes * seconds(notes, 1), levels=alone(notes, "soprano"), mode="loop"
    )
    starts = [start for start, *_ in read_by_mido(demo_site, "up-the-mast")["Soprano"]]
    one = seconds(notes, 1)
    expected = [turn * one + start / 6 for turn in range(passes) for start in starts]
    found = np.array(onsets(heard)) - heard.origin
    assert len(found) == len(expected)
    assert np.abs(found - np.array(expected)).max() < 0.005


@pytest.mark.parametrize("act", ["pause", "tempo"])
def test_a_loop_keeps_its_place_where_the_next_passes_are_laid_out(
    knocks: Page, demo_site: Path, act: str
) -> None:
    """A pause, or another tempo, a quarter of a second before the sixteenth pass ends, when what
    follows has been handed over."""
    notes = notes_of(demo_site, "up-the-mast") | {"tempo": 6 * 76}
    one, starts = seconds(notes, 1), read_by_mido(demo_site, "up-the-mast")["Soprano"]
    levels = alone(notes, "soprano")
    at = round(16 * one - 0.25, 1)
    acts: dict[str, list[tuple[float, str, Any]]] = {
        "pause": [(at, "pause", None), (at + 1, "play", None)],
        "tempo": [(at, "change", {"tempo": 0.5})],
    }
    heard = render(knocks, notes, 18 * one + 1, levels=levels, acts=acts[act], mode="loop")
    plain = [turn * one + start / 6 for turn in range(20) for start, *_ in starts]
    turn = at + 0.01 - heard.origin
    later = (lambda t: t + 1) if act == "pause" else (lambda t: turn + 2 * (t - turn))
    expected = [t if t <= turn else later(t) for t in plain]
    expected = [t for t in expected if t < 18 * one + 0.9]
    found = np.array(onsets(heard)) - heard.origin
    assert len(found) == pytest.approx(len(expected), abs=1)  # the last may be cut
    size = min(len(found), len(expected))
    assert np.abs(found[:size] - np.array(expected[:size])).max() < 0.005


def test_spoken_beats_and_count_ins_are_soft_clicks(page: Page, demo_site: Path) -> None:
    notes = notes_of(demo_site, "two-strokes")
    heard = render(page, notes, seconds(notes, 1) + 3, countIn=True)
    beat = 60 / notes["tempo"]
    count = round(notes["count_in"])
    clicks = [n * beat for n in range(count)]
    clicks += sorted(
        {
            (n["at"] / notes["ticks_per_beat"] + count) * beat
            for voice in notes["voices"]
            for n in voice["notes"]
            if "spoken" in n
        }
    )
    loud = np.abs(heard.samples) > 0.01
    found: list[float] = []
    for place in np.flatnonzero(loud):
        time = place / RATE - heard.origin
        if not found or time - found[-1] > 0.1:
            found.append(time)
    near = [min(abs(time - click) for click in clicks) for time in found]
    assert len(found) >= count + 4 and max(near) < 0.005
    assert 0.02 < np.abs(heard.samples).max() < 0.8


def test_the_real_tones_begin_when_they_are_due(page: Page) -> None:
    """Every tone of the instrument comes near its level within 5 ms of its moment."""
    for midi in MIDIS:
        notes = interval_notes(0, 0.0)
        notes["keys"] = [{"key": "C4", "midi": midi}]
        heard = render(page, notes, 1.5, levels={"upper": 1.0, "lower": 0.0})
        near = np.abs(heard.between(0, 0.5))
        begin = int(np.argmax(near > 0.1 * near.max())) / RATE
        # A tone rises for 7 ms, and passes a tenth of its level after some 1.5 ms of them.
        assert abs(begin - heard.origin - 0.0015) < 0.005, midi
        assert np.abs(heard.between(0, heard.origin - 0.005)).max() < 0.01


def test_a_busy_page_is_not_heard(knocks: Page, demo_site: Path) -> None:
    """Asked to go on only every 0.35 s, as on a slow phone, it is still on time."""
    notes = notes_of(demo_site, "up-the-mast")
    levels = alone(notes, "soprano")
    heard = render(knocks, notes, seconds(notes, 1) + 0.5, levels=levels, step=0.35)
    read = read_by_mido(demo_site, "up-the-mast")["Soprano"]
    expected = [heard.origin + start for start, *_ in read]
    found = onsets(heard)
    assert len(found) == len(expected)
    assert np.abs(np.array(found) - np.array(expected)).max() < 0.005


def test_a_run_begins_with_its_chord_and_a_louder_one(page: Page, demo_site: Path) -> None:
    notes = notes_of(demo_site, "up-the-mast")
    beat = 60 / notes["tempo"]
    chord, count = notes["lead_in"] * beat, notes["count_in"] * beat
    heard = render(page, notes, chord + count + 1, countIn=True)
    piece = heard.between(heard.origin + 0.1, heard.origin + chord - 0.1)
    spectrum = np.abs(np.fft.rfft(piece * np.hanning(len(piece)), 1 << 18))
    for above in (0, 4, 7):
        line = round(440 * 2 ** ((60 + above - 69) / 12) * (1 << 18) / RATE)
        assert spectrum[line - 20 : line + 20].max() > 0.15 * spectrum.max()
    clicks = [
        np.abs(heard.between(at - 0.01, at + 0.05)).max()
        for at in heard.origin + chord + beat * np.arange(round(notes["count_in"]))
    ]
    assert len(clicks) == 4
    assert all(20 * np.log10(clicks[0] / other) > 3 for other in clicks[1:])
    first = heard.between(heard.origin + chord + count - 0.2, heard.origin + chord + count + 0.2)
    assert np.abs(first[: RATE // 10]).max() < 0.02
    assert np.abs(first[RATE // 5 :]).max() > 0.1


@pytest.mark.parametrize("slug", ["slipway", "dropping-anchor", "three-strands"])
def test_one_voice_is_as_loud_as_all_of_them(page: Page, demo_site: Path, slug: str) -> None:
    """By pyloudnorm, a meter of ITU-R BS.1770: a unison, a drone, and four parts."""
    notes = notes_of(demo_site, slug)
    import pyloudnorm  # late: it takes a second, and few tests need it

    meter = pyloudnorm.Meter(RATE)
    length = min(seconds(notes, 1), 10)
    found = [
        meter.integrated_loudness(render(page, notes, length, levels=levels).samples.astype(float))
        for levels in ({}, alone(notes, "soprano"), alone(notes, "bass"))
    ]
    assert max(found) - min(found) < 2
    assert found[0] == pytest.approx(-20, abs=2)


TICKS = """async ({rate, count}) => {
    const {Sounding} = await import('/assets/handbook/sounding.js');
    const context = new OfflineAudioContext(1, Math.round(0.1 * (count + 1) * rate), rate);
    const buffer = context.createBuffer(1, rate, rate);
    buffer.getChannelData(0).fill(1);
    const instrument = {nearest: () => ({midi: 60, buffer, silence: 0})};
    const begins = [];
    for (let n = 1; n <= count; n += 1) {
        // As the player has it: a block of 128 samples, and a hundredth of a second later.
        const begin = 128 * Math.round(0.1 * n * rate / 128) / rate + 0.01;
        const origin = begin - n * 0.7310585;
        const from = begin - origin;
        const event = {at: from - 0.02, length: 0.06, kind: 'note', key: 0, voice: null, id: null,
            midi: 60, level: 1};
        const to = context.destination;
        begins.push(new Sounding(context, instrument, to, event, origin, from).begin);
    }
    const heard = (await context.startRendering()).getChannelData(0);
    return begins.map(begin => {
        const first = Math.floor(begin * rate) - 2;
        return Math.max(...heard.slice(first, first + 6).map(Math.abs));
    });
}"""


def test_what_is_taken_up_in_its_middle_begins_without_a_tick(page: Page) -> None:
    """A tone of ones shows the gain itself, sample by sample. It begins on a sample, but for the
    error of its sums."""
    found = page.evaluate(TICKS, {"rate": RATE, "count": 120})
    assert len(found) == 120 and max(found) < 0.02


def test_a_siren_shows_the_note_at_which_it_is(page: Page) -> None:
    due = """async times => {
        const {Player} = await import('/assets/handbook/player.js');
        const event = {at: 0, length: 4, id: 'a-1', joined: [[2, 'a-2'], [3, 'a-3']]};
        const sounding = {event, origin: 10, begin: 10, broken: false};
        const shown = time => Player.prototype.due.call({active: [{sounding}]}, time);
        return times.map(time => shown(time).map(({id}) => id));
    }"""
    found = page.evaluate(due, [9.9, 10, 11.9, 12, 13.5, 14.1])
    assert found == [[], ["a-1"], ["a-1"], ["a-2"], ["a-3"], []]


def test_a_held_note_swells(page: Page) -> None:
    """From p to f, 9 dB apart: evenly in decibels, beside the same note without."""
    plain, moved = (long_note(0, 8 * 48, level=0.25, **more) for more in ({}, SWELL))
    even, swelled = (render(page, notes, 8.2) for notes in (plain, moved))
    gained = []
    for second in (0.4, 2, 4, 6, 7.6):
        pieces = [
            h.between(h.origin + second - 0.1, h.origin + second + 0.1) for h in (swelled, even)
        ]
        gained.append(10 * np.log10(np.mean(pieces[0] ** 2) / np.mean(pieces[1] ** 2)))
    steps = np.array(gained) - gained[0]
    assert steps == pytest.approx([0, 1.8, 4.05, 6.3, 8.1], abs=0.3)


SWELL = {"swell": [[8 * 48, 0.7046]]}
