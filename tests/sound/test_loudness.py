"""How loud things are, by pyloudnorm, a meter of ITU-R BS.1770 that is not ours: the singing, each
voice alone, chords and given notes, over every exercise of the demo."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pytest

from checked import Checked
from chorus_handbook.cache import Cache
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound import make_sound
from chorus_handbook.sound.instrument import SAMPLED, ComputedTones
from chorus_handbook.sound.loudness import Powers, factor_to_target, loudness, powers_of
from chorus_handbook.sound.render import PEAK, Gains, render
from chorus_handbook.sound.schedule import Event, PlaybackOptions, schedule
from chorus_handbook.sound.tone import RATE, tone
from chorus_handbook.sound.tone_measures import tone_power

TARGET = FACTS["loudness"]["target"]
#: Seconds of each exercise that are measured: enough for its figure, and quick to make.
MEASURED = 12
TONES = ComputedTones()


@pytest.fixture(scope="module")
def book(demo: Checked, store: Cache) -> tuple[Mapping[str, dict[str, Any]], Powers]:
    assert demo.config.chorus
    sound, _ = make_sound(demo.config.chorus, demo.root, store)
    assert sound
    notes = {slug: json.loads(heard.notes) for slug, heard in demo.heard.items()}
    return notes, powers_of(sound.instrument.index)


def metered_samples(samples: Any) -> float:
    """LUFS of these samples."""
    import pyloudnorm  # late: it takes a second, and few tests need it

    return float(pyloudnorm.Meter(RATE).integrated_loudness(samples))


def metered(events: Sequence[Event], levels: Mapping[str, float], gains: Gains) -> float:
    """LUFS of the samples of these events; fails where any is cut."""
    seconds = max(event.at + event.length for event in events) + 0.3
    samples = render(events, max(seconds, 0.8), levels, TONES, gains)
    assert np.abs(samples).max() < PEAK, "turned down, and so no longer as loud as the others"
    return metered_samples(samples.astype(float))


def sung(notes: dict[str, Any]) -> list[Event]:
    """The first seconds of one pass in the middle key, clicks left out."""
    key = len(notes["keys"]) // 2
    events = schedule(notes, PlaybackOptions(first=key, last=key, passes=1, count_in=False))
    begin = min((event.at for event in events if event.midi is not None), default=0.0)
    return [e for e in events if e.midi is not None and e.at < begin + MEASURED]


#: Half of it is silence between short notes, and the meter averages over 400 ms.
DETACHED = "splash-and-glide"


def test_singing_and_every_voice_alone_are_equally_loud(
    book: tuple[Mapping[str, dict[str, Any]], Powers],
) -> None:
    """Every other exercise: the rule is one for all, and metering takes its time."""
    found: dict[tuple[str, str], float] = {}
    for slug in {*sorted(book[0])[::2], DETACHED}:
        notes = book[0][slug]
        events = sung(notes)
        names = [voice["name"] for voice in notes["voices"]]
        singing = [name for name in names if any(event.voice == name for event in events)]
        for who in ("all", *singing) if events else ():
            levels = {name: float(who in ("all", name)) for name in names}
            own = [event for event in events if levels[event.voice or ""]]
            gains = Gains(singing=factor_to_target(own, levels, book[1]))
            found[slug, who] = metered(own, levels, gains)
    assert len(found) > 150
    far = {
        one: lufs
        for one, lufs in found.items()
        if abs(lufs - TARGET) > (1 if one[0] != DETACHED else 2)
    }
    assert not far  # so any two of them are within 2 dB


def test_a_voice_in_front_of_others_is_as_loud_as_they_all_are(
    book: tuple[Mapping[str, dict[str, Any]], Powers],
) -> None:
    for slug in ("slipway", "high-water", "three-strands"):
        notes = book[0][slug]
        events = sung(notes)
        levels = {one["name"]: FACTS["behind"] for one in notes["voices"]} | {"alto": 1.0}
        gains = Gains(singing=factor_to_target(events, levels, book[1]))
        assert metered(events, levels, gains) == pytest.approx(TARGET, abs=1), slug


def test_chords_and_given_notes_are_as_loud_as_the_singing(
    book: tuple[Mapping[str, dict[str, Any]], Powers],
) -> None:
    for slug, notes in book[0].items():
        for key in (0, len(notes["keys"]) - 1):
            options = PlaybackOptions(first=key, last=key, passes=1, chord_first=True)
            chord = [
                event
                for event in schedule(notes, options)
                if event.kind == "lead" and event.midi is not None
            ]
            if chord:
                gains = Gains(chords=factor_to_target(chord, {}, book[1]))
                assert metered(chord, {}, gains) == pytest.approx(TARGET, abs=1), slug
    for midi in range(36, 88):
        given = Event(0.0, 2.0, "note", 0, "", None, float(midi), 1.0)
        gains = Gains(singing=factor_to_target([given], {}, book[1]))
        assert metered([given], {}, gains) == pytest.approx(TARGET, abs=1), midi


def test_the_clicks_of_a_count_stand_out_from_the_singing(
    book: tuple[Mapping[str, dict[str, Any]], Powers],
) -> None:
    """By their peaks, since a meter hears little of a knock: a count is no softer than the level of
    the singing's loudest samples less 6 dB, and "one" is louder than the rest by 3 dB or more."""
    notes = book[0]["slipway"]
    clicks = [e for e in schedule(notes, PlaybackOptions(last=0, passes=1)) if e.kind == "click"]
    peaks = {
        one: float(np.abs(render([e for e in clicks if e.one is one], 4, {}, TONES)).max())
        for one in (True, False)
    }
    own = sung(notes)
    gains = Gains(singing=factor_to_target(own, {}, book[1]))
    loudest = float(np.abs(render(own, 15, {}, TONES, gains)).max())
    assert peaks[False] > 0.5 * loudest
    assert 20 * np.log10(peaks[True] / peaks[False]) > 3


@pytest.mark.parametrize("midi", [36, 48, 60, 69, 81, 87])
def test_the_power_of_a_tone_is_what_the_meter_finds(midi: int) -> None:
    """Of the first second: the loudness of BS.1770 of a piece is -0.691 and ten times the logarithm
    of its weighted mean square."""
    sound = tone(midi)
    power = tone_power(sound, RATE, None)
    windows = np.diff([0, *FACTS["loudness"]["windows"]])
    mean = float(np.dot(power[:3], windows[:3])) / float(windows[:3].sum())
    found = metered_samples(sound[:RATE])
    assert -0.691 + 10 * np.log10(mean) == pytest.approx(found, abs=0.8)


def test_a_full_scale_sine_is_what_the_recommendation_says() -> None:
    """ITU-R BS.1770-5, annex 1: a sine of 997 Hz at 0 dB full scale comes to -3.01 LKFS."""
    sine = np.sin(2 * np.pi * 997 * np.arange(RATE) / RATE)
    assert -0.691 + 10 * np.log10(tone_power(sine, RATE, None)[1]) == pytest.approx(-3.01, abs=0.05)


def test_octaves_and_twelfths_neither_cancel_nor_pile_up() -> None:
    for low in SAMPLED[:-7]:
        for apart in (12, 19.01955):
            one, other = tone(low)[:RATE], tone(low + apart)[:RATE]
            alike = float(one @ other / np.sqrt((one @ one) * (other @ other)))
            assert abs(alike) < 0.2, (low, apart)


def test_where_nothing_sounds_there_is_no_loudness(
    book: tuple[Mapping[str, dict[str, Any]], Powers],
) -> None:
    events = sung(book[0]["slipway"])
    silent = dict.fromkeys(("soprano", "alto", "tenor", "bass", "leader"), 0.0)
    assert loudness(events, silent, book[1]) is None
    assert factor_to_target(events, silent, book[1]) == factor_to_target([], {}, book[1]) == 1


def test_knocks_are_as_loud_as_their_peaks_allow(
    book: tuple[Mapping[str, dict[str, Any]], Powers],
) -> None:
    spoken = ("roll-call", "steam-launch", "two-strokes", "loading-the-hold")
    for slug in spoken:
        notes = book[0][slug]
        events = schedule(notes, PlaybackOptions(last=0, passes=1, count_in=False))
        samples = render(
            events, 20, {}, TONES, Gains(singing=factor_to_target(events, {}, book[1]))
        )
        assert 0.5 < np.abs(samples).max() <= PEAK, slug
