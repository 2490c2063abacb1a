"""Practice tracks, read back by programs that did not write them."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Mapping
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from itertools import groupby
from operator import attrgetter
from pathlib import Path
from typing import Any

import miniaudio
import numpy as np
import pytest
from tinytag import TinyTag

from checked import Checked
from chorus_handbook.cache import Cache
from chorus_handbook.claims.run_length import LONGEST_RUN
from chorus_handbook.sound import make_sound
from chorus_handbook.sound.instrument import ComputedTones, instrument
from chorus_handbook.sound.schedule import PlaybackOptions, run_seconds, schedule
from chorus_handbook.sound.tracks import (
    BEHIND,
    Track,
    last_key,
    make,
    make_all,
    site_tracks,
    tracks_of,
)

SLUG = "up-the-mast"


TONES = ComputedTones()
INDEX = instrument(TONES, Cache(None)).index
KIND = attrgetter("kind")


@pytest.fixture(scope="module")
def notes(demo: Checked) -> Mapping[str, bytes]:
    return {slug: heard.notes for slug, heard in demo.heard.items()}


def track_of(notes: Mapping[str, bytes], slug: str, voice: str, **options: Any) -> Track:
    return Track(slug, voice, notes[slug], PlaybackOptions(**options), "Testing Chorus", INDEX)


def test_length_and_tags_are_read_back(notes: Mapping[str, bytes], store: Cache) -> None:
    """Length by miniaudio's decoder, tags by tinytag."""
    track = track_of(notes, SLUG, "alto", last=1, chord_first=True, tempo=1.5)
    made = make(track, TONES, store)
    decoded = miniaudio.decode(made, output_format=miniaudio.SampleFormat.SIGNED16)
    seconds = decoded.num_frames / decoded.sample_rate
    assert seconds == pytest.approx(run_seconds(json.loads(track.notes), track.options), abs=0.25)
    assert max(map(abs, decoded.samples)) < 32_767
    tags = TinyTag.get(file_obj=io.BytesIO(made), filename="track.mp3")
    assert tags.title == "Up the mast – Alto"
    assert tags.artist == "Testing Chorus"
    assert tags.album == "Up the mast · Wide broken chord in two pairs of voices"
    assert (tags.track, tags.track_total) == (2, 4)
    assert tags.comment == ("Alto in front; keys C4 to Db4; 114 beats a minute; equal temperament")
    other = {name.lower(): values for name, values in tags.other.items()}
    assert other["bpm"] == ["114"] and other["initial_key"] == ["C"]


def test_ones_own_line_is_in_front(
    notes: Mapping[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    """How much of each track is left when the others are silent, by miniaudio's decoder: well over
    half of the sound's energy is one's own, though three sing against it."""
    track = track_of(notes, "high-water", "tenor", last=0, passes=1, count_in=False)

    def heard(behind: float) -> list[float]:
        monkeypatch.setattr("chorus_handbook.sound.tracks.BEHIND", behind)
        made = make(track, TONES, Cache(None))
        decoded = miniaudio.decode(made, output_format=miniaudio.SampleFormat.FLOAT32)
        return list(decoded.samples)

    def alike(one: list[float], other: list[float]) -> float:
        size = min(len(one), len(other))
        a, b = np.array(one[:size]), np.array(other[:size])
        return float(a @ b / np.sqrt((a @ a) * (b @ b)))

    alone = heard(0.0)
    assert alike(heard(BEHIND), alone) > 0.8 > alike(heard(1.0), alone) > 0.3


def test_the_same_run_is_the_same_file_and_is_kept(
    notes: Mapping[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also when two processes make it."""
    tracks = [
        track_of(notes, SLUG, voice, last=0, tempo=tempo)
        for voice in ("alto", "bass")
        for tempo in (1.5, 1.4, 1.3, 1.2)
    ]
    store = Cache(tmp_path)
    first = list(make_all(tracks, TONES, store))
    assert [track for track, _ in first] == tracks
    assert len({made for _, made in first}) == len(tracks)
    assert make(tracks[5], TONES, Cache(None)) == first[5][1]
    monkeypatch.setattr("chorus_handbook.sound.tracks.mp3", None)  # it would fail if it were asked
    assert list(make_all(tracks, TONES, store)) == first
    with pytest.raises(TypeError):
        list(make_all([track_of(notes, SLUG, "alto", last=1)], TONES, store))


def test_where_no_process_can_be_had_one_makes_them_all(
    notes: Mapping[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    class Broken:
        def __init__(self, *_: Any, **__: Any) -> None: ...

        def submit(self, *_: Any) -> Future[bytes]:
            future: Future[bytes] = Future()
            future.set_exception(BrokenProcessPool())
            return future

        def __enter__(self) -> Broken:
            return self

        def __exit__(self, *_: object) -> None: ...

    monkeypatch.setattr("chorus_handbook.sound.tracks.ProcessPool", Broken)
    monkeypatch.setenv("HANDBOOK_PROCESSES", "2")
    tracks = [
        track_of(notes, SLUG, voice, last=0, tempo=1.5)
        for voice in ("soprano", "alto", "tenor", "bass")
    ]
    assert all(made for _, made in make_all(tracks, TONES, Cache(None)))


def test_a_run_of_hours_is_refused_with_its_length(
    demo: Checked, notes: Mapping[str, bytes]
) -> None:
    ladder = demo.ladders[SLUG]
    found, missing = tracks_of(
        SLUG, notes[SLUG], ladder, PlaybackOptions(passes=2_000), "Testing Chorus", INDEX
    )
    assert not found
    assert set(missing) == {"soprano", "alto", "tenor", "bass"}
    reported = r"all keys together take alto \d+ minutes, but a track lasts 60 minutes at most"
    assert re.fullmatch(reported, missing["alto"])


def test_tracks_end_where_the_notice_says_they_do(
    demo: Checked, notes: Mapping[str, bytes]
) -> None:
    """As many passes as come to an hour, and one more: the chord and the count do not add."""
    data = json.loads(notes["slipway"])
    one = data["length"] / data["ticks_per_beat"] * 60 / data["tempo"]
    passes = int(LONGEST_RUN / one)
    for extra in (0, 1):
        ladder = replace(demo.ladders["slipway"], rungs=demo.ladders["slipway"].rungs[:1])
        options = PlaybackOptions(passes=passes + extra)
        found, missing = tracks_of("slipway", notes["slipway"], ladder, options, "", INDEX)
        assert bool(found) != bool(missing) and bool(missing) == bool(extra)


def test_a_slow_or_just_track_does_not_take_the_place_of_the_usual_one(
    notes: Mapping[str, bytes],
) -> None:
    kinds: list[dict[str, Any]] = [{}, {"tempo": 0.7}, {"just": True}, {"tempo": 0.7, "just": True}]
    files = [track_of(notes, SLUG, "alto", **kind).file for kind in kinds]
    assert files[0] == "up-the-mast-alto.mp3" and len(set(files)) == 4
    assert files[3] == "up-the-mast-alto-70-percent-just.mp3"


def test_a_track_begins_with_the_chord_and_the_count_in(
    demo: Checked, notes: Mapping[str, bytes]
) -> None:
    found, missing = tracks_of(
        SLUG, notes[SLUG], demo.ladders[SLUG], PlaybackOptions(), "Testing Chorus", INDEX
    )
    assert set(found) == {"soprano", "alto", "tenor", "bass"} and not missing
    for track in found.values():
        kinds = [
            kind for kind, _ in groupby(schedule(json.loads(track.notes), track.options), KIND)
        ]
        assert kinds[:4] == ["lead", "click", "note", "lead"]


def test_a_voice_that_cannot_begin_is_told(demo: Checked, notes: Mapping[str, bytes]) -> None:
    ladder = demo.ladders[SLUG]
    sung = ladder.rungs[0].voices
    first = replace(ladder.rungs[0], voices={**sung, "bass": replace(sung["bass"], state="out")})
    cannot = replace(ladder, rungs=(first, *ladder.rungs[1:]))
    found, missing = tracks_of(
        SLUG, notes[SLUG], cannot, PlaybackOptions(), "Testing Chorus", INDEX
    )
    assert set(found) == {"soprano", "alto", "tenor"}
    assert missing == {"bass": "bass cannot sing in the first key"}


def test_a_track_ends_with_the_last_key_that_its_voice_sings(demo: Checked) -> None:
    ends = 0
    for ladder in demo.ladders.values():
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


def test_the_site_says_which_track_is_missing_and_why(
    demo: Checked, notes: Mapping[str, bytes], store: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At the exercise's keys; and an author who has answered is not told again."""
    assert demo.config.chorus
    chorus = demo.config.chorus
    sound, _ = make_sound(chorus, demo.root, store)
    assert sound
    ladder = demo.ladders[SLUG]
    sung = ladder.rungs[0].voices
    first = replace(ladder.rungs[0], voices={**sung, "bass": replace(sung["bass"], state="out")})
    cannot = replace(ladder, rungs=(first, *ladder.rungs[1:]))
    monkeypatch.setattr("chorus_handbook.sound.tracks.make_all", lambda *_: iter(()))
    (entry,) = (one for one in demo.entries.entries if one.slug == SLUG)
    run = (entry, notes[SLUG], cannot)
    _, (problem,) = site_tracks([run], {}, sound, chorus, store, demo.root)
    assert (problem.code, problem.severity) == ("track-missing", "notice")
    assert "bass: bass cannot sing in the first key" in problem.message
    assert problem.place == entry.source.place_of("keys")
    front = entry.front.model_copy(update={"answers": {"track-missing": "It is for the others."}})
    answered = (replace(entry, front=front), *run[1:])
    assert site_tracks([answered], {}, sound, chorus, store, demo.root)[1] == []


def test_the_opening_chord_is_as_loud_as_the_singing(notes: Mapping[str, bytes]) -> None:
    """By pyloudnorm, a meter of ITU-R BS.1770, on the track as miniaudio decodes it."""
    import pyloudnorm  # late: it takes a second, and few tests need it

    for slug in (SLUG, "high-water"):
        track = track_of(notes, slug, "alto", last=0, passes=1, chord_first=True)
        made = make(track, TONES, Cache(None))
        decoded = miniaudio.decode(made, miniaudio.SampleFormat.FLOAT32, nchannels=1)
        samples, rate = np.array(decoded.samples, dtype=float), decoded.sample_rate
        data = json.loads(track.notes)
        beat = 60 / data["tempo"]
        chord = round((data["lead_in"] or 4) * beat * rate)
        singing = chord + round(data["count_in"] * beat * rate)
        meter = pyloudnorm.Meter(rate)
        heard = [meter.integrated_loudness(part) for part in (samples[:chord], samples[singing:])]
        assert heard[0] == pytest.approx(heard[1], abs=2), slug
