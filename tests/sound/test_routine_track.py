"""The track of a routine, read back by libraries that did not write it: mutagen (tags, chapters),
tinytag (tags, length) and miniaudio (sound)."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from itertools import pairwise

import miniaudio
import numpy as np
import pytest
from mutagen.mp3 import MP3
from tinytag import TinyTag

from checked import Checked
from chorus_handbook.cache import Cache
from chorus_handbook.sound.instrument import ComputedTones, instrument
from chorus_handbook.sound.routine_track import Chapter, RoutineTrack
from chorus_handbook.sound.schedule import PlaybackOptions, in_keys, run_seconds
from chorus_handbook.sound.tracks import make

TONES = ComputedTones()
KEYS = ("Db4", "Eb4")  # not the order of the exercise, and one of its keys is left out
FAST = PlaybackOptions(tempo=1.5)


@pytest.fixture(scope="module")
def track(demo: Checked) -> RoutineTrack:
    index = instrument(TONES, Cache(None)).index
    notes = demo.heard["slipway"].notes
    chapters = (
        Chapter("Standing – Füße", 3),
        Chapter("Falling threes on a lip trill", 5, notes, KEYS),
        Chapter("Quiet", 2),
    )
    return RoutineTrack("below-decks", "Below decks", chapters, FAST, "Testing Chorus", index)


@pytest.fixture(scope="module")
def made(track: RoutineTrack) -> bytes:
    return make(track, TONES, Cache(None))


def seconds_of(track: RoutineTrack) -> float:
    """How long the sung chapter sounds, by the rule of runs, without the fade of its last note."""
    notes = in_keys(json.loads(track.chapters[1].notes or b""), KEYS)
    return run_seconds(notes, replace(FAST, chord_first=True))


def test_the_chapters_are_in_order_and_without_a_gap(track: RoutineTrack, made: bytes) -> None:
    """By mutagen, and their sum by tinytag and miniaudio too."""
    file = MP3(io.BytesIO(made))
    (contents,) = file.tags.getall("CTOC")
    assert (int(contents.flags), contents.child_element_ids[0]) == (0b11, "chapter-1")
    chapters = [file.tags[f"CHAP:{name}"] for name in contents.child_element_ids]
    assert len(file.tags.getall("CHAP")) == len(chapters) == 3
    titles = [chapter.sub_frames["TIT2"].text[0] for chapter in chapters]
    assert titles == [chapter.title for chapter in track.chapters]
    assert chapters[0].start_time == 0
    assert all(one.end_time == after.start_time for one, after in pairwise(chapters))
    lengths = [(one.end_time - one.start_time) / 1000 for one in chapters]
    assert lengths[::2] == [3, 2]
    assert lengths[1] == pytest.approx(5 + seconds_of(track), abs=0.1)
    tags = TinyTag.get(file_obj=io.BytesIO(made), filename="track.mp3")
    decoded = miniaudio.mp3_get_info(made)
    for length in (file.info.length, tags.duration, decoded.duration):
        assert length == pytest.approx(chapters[-1].end_time / 1000, abs=0.1)


def test_tags_are_those_of_a_routine(made: bytes) -> None:
    tags = TinyTag.get(file_obj=io.BytesIO(made), filename="track.mp3")
    assert (tags.title, tags.artist, tags.album) == ("Below decks", "Testing Chorus", "Routines")
    assert tags.comment == "3 exercises; equal temperament"


def test_it_sounds_where_its_chapters_say(track: RoutineTrack, made: bytes) -> None:
    """By miniaudio's decoder: the instruction is silent, and the chord follows at once."""
    decoded = miniaudio.decode(made, miniaudio.SampleFormat.FLOAT32, nchannels=1)
    samples, rate = np.array(decoded.samples), decoded.sample_rate

    def loudest(start: float, end: float) -> float:
        return float(np.abs(samples[round(start * rate) : round(end * rate)]).max())

    sung = 3 + 5 + seconds_of(track)
    assert loudest(0, 7.9) < 0.001 and loudest(sung + 0.3, sung + 1.9) < 0.001
    assert loudest(8.0, 8.5) > 0.05 and loudest(sung - 1.5, sung) > 0.05


def test_keys_are_those_of_the_routine(demo: Checked) -> None:
    notes = json.loads(demo.heard["slipway"].notes)
    chosen = in_keys(notes, KEYS)
    assert [one["key"] for one in chosen["keys"]] == [*KEYS] and len(chosen["lead_chord"]) == 2
    assert chosen["voices"] is notes["voices"] and len(notes["keys"]) > 2
    assert in_keys(notes, ["X1", "Eb4"])["keys"] == [{"key": "Eb4", "midi": 63}]


def test_a_voice_in_front_and_voices_that_are_not_there(
    track: RoutineTrack, monkeypatch: pytest.MonkeyPatch
) -> None:
    given: list[dict[str, float]] = []

    def rendered(_events: object, _seconds: object, levels: dict[str, float], *_: object) -> object:
        given.append(levels)
        return np.zeros(1, dtype=np.float32)

    monkeypatch.setattr("chorus_handbook.sound.render.render", rendered)
    sung = replace(track.chapters[1], absent=frozenset({"soprano", "alto"}))
    for voice in ("", "bass", "nobody"):
        replace(track, chapters=(sung,), voice=voice).encode(TONES)
    gone = {"soprano": 0.0, "alto": 0.0}
    assert given == [gone, {**gone, "tenor": 0.25, "bass": 1.0}, gone]


def test_what_it_is_made_of_names_it(track: RoutineTrack) -> None:
    sung = track.chapters[1]
    others = [
        replace(track, title="Above"),
        replace(track, voice="bass"),
        replace(track, options=PlaybackOptions()),
        replace(track, chapters=track.chapters[1:]),
        replace(track, chapters=(replace(sung, silence=6), *track.chapters[1:])),
        replace(track, chapters=(replace(sung, absent=frozenset({"bass"})),)),
    ]
    assert len({one.cache_key(TONES) for one in [track, *others]}) == 7
    assert others[1].file == "below-decks-bass-150-percent.mp3"


def test_nothing_to_hear_and_more_than_an_hour_are_told(track: RoutineTrack) -> None:
    assert track.why_not == ""
    silent = replace(track, chapters=track.chapters[::2])
    assert silent.why_not == "none of its exercises has notes, so there is nothing to hear"
    long = replace(track, chapters=(Chapter("Wait", 3600), *track.chapters))
    assert long.why_not == "it takes 61 minutes, and a track lasts 60 minutes at most"
