"""Makes the sound of exercises: data for the player in the page, MIDI files, and practice tracks.

`timed` gives the notes of a score their times in one pass, without a particular key, with `levels`
for dynamics. `chords` finds its sustained chords, and `tuning` computes by how much each note
differs from equal temperament (with `ratios`). `notes_json` writes all this for the player, `midi`
for other programs.

The player plays on an `instrument`: tones as MP3 files (`mp3`), which are computed (`tone`) or come
from the chorus's own `sound_font`; `tone_measures` measures them for `loudness`. `schedule` decides
what sounds when; the player follows the same rule. `tracks` makes practice tracks as MP3 files
(with `render`), and `routine_track` makes the track of a routine, with chapters.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus, SoundFont
from chorus_handbook.entries.model import Entry
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import Degree, Score
from chorus_handbook.problems import Place, Problem
from chorus_handbook.sound.instrument import ComputedTones, Instrument, Tones, instrument
from chorus_handbook.source.text import shown_path

if TYPE_CHECKING:
    from chorus_handbook.sound.timed import TimedPass

__all__ = ["Heard", "Instrument", "LoadFile", "Sound", "Tracks", "hear", "make_sound"]

_FAILED = "The tones with which pages play the exercises could not be made"
_HINT = (
    "Reinstall the program with everything that it needs; if that does not help, tell its "
    "maintainers. Your own files are not the reason."
)


@dataclass(frozen=True, slots=True)
class Heard:
    """The sound of one exercise: the content of its notes.json and its Standard MIDI File."""

    notes: bytes
    midi: bytes


@dataclass(frozen=True, slots=True)
class Sound:
    """The instrument that the player plays on, and the source of its tones and those of practice
    tracks."""

    instrument: Instrument
    tones: Tones


#: A function that loads an MP3 file, which is large.
LoadFile = Callable[[], bytes]


@dataclass(frozen=True, slots=True)
class Tracks:
    """Functions that load the practice tracks of a site. `voices` maps the slug of an exercise to
    a function for each of its voices, by the voice's name; `routines` maps the slug of a routine to
    a function."""

    voices: Mapping[str, Mapping[str, LoadFile]] = field(default_factory=dict)
    routines: Mapping[str, LoadFile] = field(default_factory=dict)


def hear(entry: Entry, score: Score, facts: Facts, chorus: Chorus) -> Heard:
    """The sound of an exercise, tuned as its fields `tune_to` and `roots` say."""
    from chorus_handbook.sound.midi import MidiPiece, midi_file
    from chorus_handbook.sound.notes_json import notes_data, notes_json
    from chorus_handbook.sound.timed import in_time
    from chorus_handbook.sound.tuning import TONIC, tune

    timed = in_time(score, chorus)
    tuned = tune(timed, entry.front.tune_to or TONIC, _roots(entry, score, timed))
    notes = notes_json(notes_data(entry.slug, entry.front, facts.keys, timed, tuned))
    piece = MidiPiece(entry.front.title, timed, score.meter, facts.tempo, facts.keys[0])
    return Heard(notes, midi_file(piece))


def make_sound(chorus: Chorus, root: Path, cache: Cache) -> tuple[Sound | None, list[Problem]]:
    """The sound of the chorus whose handbook is in the folder `root`, and no problems; or None and
    the problem, if its sound font cannot be played or MP3 cannot be encoded."""
    if chorus.sound_font is None:
        return Sound(instrument(ComputedTones(), cache), ComputedTones()), []
    from chorus_handbook.sound.mp3 import EncodingError
    from chorus_handbook.sound.sound_font import SoundFontError

    place = Place(shown_path(root / "chorus.yml", root))
    try:
        tones = _font_tones(chorus.sound_font, root, cache)
        return Sound(instrument(tones, cache), tones), []
    except SoundFontError as error:
        return None, [Problem(place, "sound-font", error.message, error.hint)]
    except EncodingError as error:
        return None, [Problem(place, "instrument", f"{_FAILED}: {error}.", _HINT)]


def _font_tones(font: SoundFont, root: Path, cache: Cache) -> Tones:
    """The tones of the chorus's sound font. Raises SoundFontError."""
    from chorus_handbook.chorus.sound_font import font_file
    from chorus_handbook.sound.sound_font import SoundFontError, open_font
    from chorus_handbook.source.named_files import NamedFileError

    try:
        file = font_file(root, font.file)
    except NamedFileError as error:  # it was there when chorus.yml was read
        raise SoundFontError(error.message, error.hint) from error
    return open_font(file, font.bank, font.program, cache)


def _roots(entry: Entry, score: Score, timed: TimedPass) -> list[tuple[int, Degree]]:
    """The roots of chords that the front matter states, each with the tick at which it begins."""
    sounding, found, beat = score.sounding(), [], 0
    for root in entry.front.root_path:
        moment = sounding(beat * score.meter.beat) / score.meter.beat
        found.append((round(moment * timed.ticks), Degree(root.degree - 1, root.alter)))
        beat += root.beats
    return found
