"""Practice tracks, read back by programs that did not write them."""

from __future__ import annotations

import io
import json

import miniaudio
import numpy as np
import pytest
from tinytag import TinyTag

from chorus_handbook import pipeline
from chorus_handbook.cache import Cache
from chorus_handbook.sound import make_sound
from chorus_handbook.sound.schedule import Settings, run_seconds
from chorus_handbook.sound.tracks import BEHIND, LONGEST, TooLongError, last_key, track

SLUG = "up-the-mast"


@pytest.fixture(scope="module")
def notes(demo: pipeline.Handbook, store: Cache) -> dict[str, object]:
    assert demo.setting.chorus
    sound, _ = make_sound(demo.entries, demo.music, demo.setting.chorus, store, demo.root)
    found: dict[str, object] = json.loads(sound.notes[SLUG])
    return found


def test_length_and_tags_are_read_back(notes: dict[str, object], store: Cache) -> None:
    """Length by miniaudio's decoder, tags by tinytag."""
    settings = Settings(last=1, chord_first=True, tempo=1.5)
    made = track(notes, "alto", settings, "Testing Chorus", store)
    decoded = miniaudio.decode(made, output_format=miniaudio.SampleFormat.SIGNED16)
    seconds = decoded.num_frames / decoded.sample_rate
    assert seconds == pytest.approx(run_seconds(notes, settings), abs=0.25)
    assert max(map(abs, decoded.samples)) < 32_767
    tags = TinyTag.get(file_obj=io.BytesIO(made), filename="track.mp3")
    assert tags.title == "Up the mast – Alto"
    assert tags.artist == "Testing Chorus"
    assert tags.comment == ("Alto in front; keys C4 to Db4; 114 beats a minute; equal temperament")
    other = {name.lower(): values for name, values in tags.other.items()}
    assert other["bpm"] == ["114"] and other["initial_key"] == ["C"]


def test_ones_own_line_is_in_front(
    demo: pipeline.Handbook, store: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    """How much of each track is left when the others are silent, by miniaudio's decoder: well over
    half of the sound's energy is one's own, though three sing against it."""
    assert demo.setting.chorus
    sound, _ = make_sound(demo.entries, demo.music, demo.setting.chorus, store, demo.root)
    notes = json.loads(sound.notes["high-water"])
    settings = Settings(last=0, passes=1, count_in=False)

    def heard(behind: float) -> list[float]:
        monkeypatch.setattr("chorus_handbook.sound.tracks.BEHIND", behind)
        made = track(notes, "tenor", settings, "Testing Chorus", Cache(None))
        decoded = miniaudio.decode(made, output_format=miniaudio.SampleFormat.FLOAT32)
        return list(decoded.samples)

    def alike(one: list[float], other: list[float]) -> float:
        size = min(len(one), len(other))
        a, b = np.array(one[:size]), np.array(other[:size])
        return float(a @ b / np.sqrt((a @ a) * (b @ b)))

    alone = heard(0.0)
    assert alike(heard(BEHIND), alone) > 0.8 > alike(heard(1.0), alone) > 0.3


def test_the_same_run_is_the_same_file_and_is_kept(
    notes: dict[str, object], store: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = Settings(last=0, tempo=1.5)
    first = track(notes, "bass", settings, "Testing Chorus", Cache(None))
    assert track(notes, "bass", settings, "Testing Chorus", Cache(None)) == first
    assert track(notes, "bass", settings, "Testing Chorus", store) == first
    monkeypatch.setattr("chorus_handbook.sound.tracks.mp3", None)  # it would fail if it were asked
    assert track(notes, "bass", settings, "Testing Chorus", store) == first
    with pytest.raises(TypeError):
        track(notes, "alto", settings, "Testing Chorus", store)


def test_a_run_of_hours_is_refused_before_anything_is_computed(notes: dict[str, object]) -> None:
    with pytest.raises(TooLongError, match="minutes"):
        track(notes, "alto", Settings(passes=LONGEST), "Testing Chorus", Cache(None))


def test_a_track_ends_with_the_last_key_that_its_voice_sings(demo: pipeline.Handbook) -> None:
    ends = 0
    for ladder in demo.voices.values():
        for voice in ladder.rungs[0].voices if ladder.rungs else ():
            last = last_key(ladder, voice)
            if last is None:
                assert voice in ladder.rungs[0].out
                continue
            assert all(voice not in rung.out for rung in ladder.rungs[: last + 1])
            if last + 1 < len(ladder.rungs):
                assert voice in ladder.rungs[last + 1].out
                ends += 1
    assert ends
    assert last_key(None, "alto") == -1
