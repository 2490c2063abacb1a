"""Writes a Standard MIDI File of an exercise, once through in its first key. No other module
imports mido.

The file has format 1: a track with tempo, meter and key, then one for each voice, with its
syllables. Times are as they sound, with fermatas and breaths. Spoken beats are on the percussion
channel. A glide is a pitch bend. The velocity of a note is that of its loudest moment; the
expression controller makes it softer elsewhere. Pitches are in equal temperament. Numbers of
instruments and drums are those of General MIDI (from memory).
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from chorus_handbook.music.keys import signature
from chorus_handbook.music.score import Degree, Meter
from chorus_handbook.pitch import Pitch
from chorus_handbook.sound.timed import TimedNote, TimedPass, TimedVoice

if TYPE_CHECKING:
    from mido import Message, MetaMessage, MidiFile

#: The most ticks a quarter: a file has 15 bits for them.
_MOST_DIVISION = 0x7FFF
#: The most microseconds a quarter: a file has 24 bits for them.
_LONGEST_QUARTER = 0xFFFFFF
#: The channel of percussion (counted from 0), and the drums for the heights of spoken beats.
_PERCUSSION = 9
_DRUMS = {"high": 76, "middle": 37, "low": 77}
#: Semitones that a pitch bend reaches, and how many bends are sent a beat during a glide.
_BEND_RANGE, _BENDS = 24, 16
#: The largest value of a pitch bend.
_MOST_BEND = 8191
#: The number of the expression controller, how many times a beat it is sent while a level
#: moves, and its value at rest.
_EXPRESSION, _EXPRESSIONS, _FULL = 11, 16, 127
#: mido's names of keys, from seven flats to seven sharps.
_MAJOR_KEYS = "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split()
_MINOR_KEYS = "Abm Ebm Bbm Fm Cm Gm Dm Am Em Bm F#m C#m G#m D#m A#m".split()


@dataclass(frozen=True, slots=True)
class MidiPiece:
    """What a file is made from. `tempo` is in beats of the meter a minute; `tonic` is that of
    the first key."""

    title: str
    timed: TimedPass
    meter: Meter
    tempo: float
    tonic: Pitch


@dataclass(frozen=True, slots=True)
class _FileClock:
    """How a file counts time. It has the ticks of the pass; `division` of them are a quarter, which
    lasts `microseconds`. If these numbers do not fit into a file, it calls a beat a quarter, and
    has no meter (`metered` is false)."""

    division: int
    microseconds: int
    metered: bool

    @classmethod
    def of(cls, piece: MidiPiece) -> _FileClock:
        ticks, beat = piece.timed.ticks, piece.meter.beat
        quarter, microseconds = ticks / beat, round(60_000_000 / (piece.tempo * float(beat)))
        if (
            quarter.denominator == 1
            and quarter <= _MOST_DIVISION
            and microseconds <= _LONGEST_QUARTER
        ):
            return cls(int(quarter), microseconds, not piece.meter.free)
        return cls(ticks, round(60_000_000 / piece.tempo), False)


#: When a message is sent (in ticks), its place among messages of the same tick, and the message.
_Moment = tuple[int, int, "Message | MetaMessage"]
#: The places of messages of the same tick: the end of a note comes first, its start last.
_END, _WORD, _CHANGE, _START = range(4)


def midi_file(piece: MidiPiece) -> bytes:
    """The content of the file; the same bytes for the same piece."""
    from mido import MidiFile  # late: only what is heard for the first time needs it

    clock = _FileClock.of(piece)
    file = MidiFile(type=1, ticks_per_beat=clock.division, charset="utf-8")
    end = piece.timed.length
    _add(file, _conductor(piece, clock), end)
    for place, voice in enumerate(piece.timed.voices):
        channel = [n for n in range(16) if n != _PERCUSSION][place % 15]
        _add(file, _Singer(channel, piece.tonic.midi, piece.timed.ticks).track(voice), end)
    written = io.BytesIO()
    file.save(file=written)
    return written.getvalue()


def _add(file: MidiFile, moments: Iterable[_Moment], end: int) -> None:
    """Add a track of these moments, in any order, that lasts to the tick `end`."""
    from mido import MetaMessage

    track = file.add_track()
    now = 0
    for at, _, message in sorted(moments, key=lambda moment: moment[:2]):
        track.append(message.copy(time=at - now))
        now = at
    track.append(MetaMessage("end_of_track", time=max(end - now, 0)))


def _conductor(piece: MidiPiece, clock: _FileClock) -> Iterator[_Moment]:
    """The messages of the first track: title, tempo, meter and key."""
    from mido import MetaMessage

    yield 0, _CHANGE, MetaMessage("track_name", name=piece.title)
    yield 0, _CHANGE, MetaMessage("set_tempo", tempo=clock.microseconds)
    meter = piece.meter
    if clock.metered:
        signs = {"numerator": meter.beats, "denominator": meter.unit}
        click = int(24 * meter.beat)
        yield 0, _CHANGE, MetaMessage("time_signature", **signs, clocks_per_click=click)
    minor = Degree(2).semitones(piece.timed.mode) == 3
    key = (_MINOR_KEYS if minor else _MAJOR_KEYS)[signature(piece.tonic, piece.timed.mode) + 7]
    yield 0, _CHANGE, MetaMessage("key_signature", key=key)


@dataclass(frozen=True, slots=True)
class _Singer:
    """Writes the track of one voice, on `channel`: `tonic` is a MIDI note number, `beat` is in
    ticks."""

    channel: int
    tonic: int
    beat: int

    def track(self, voice: TimedVoice) -> Iterator[_Moment]:
        """All messages of the track."""
        from mido import Message, MetaMessage

        yield 0, _CHANGE, MetaMessage("track_name", name=voice.label)
        yield 0, _CHANGE, Message("program_change", channel=self.channel, program=0)
        if any(note.glide for note in voice.notes):
            yield from self._bend_range()
        expression = _FULL
        for sound in self._attacks(voice):
            note, points = sound[0], _levels(sound)
            loudest = max(level for _, level in points)
            velocity = max(1, min(127, round(127 * loudest)))
            for at, value in self._expression(points, loudest):
                if value != expression:
                    yield at, _CHANGE, self._control(_EXPRESSION, value)
                    expression = value
            for one in sound:
                if one.syllable:
                    yield one.at, _WORD, MetaMessage("lyrics", text=one.syllable)
            for channel, pitch in self._sounds(note):
                yield from _note(channel, pitch, velocity, note.at, sound[-1].end)
            for grace in note.graces:
                number, begin = self.tonic + grace.semitones, note.at - grace.before
                if 0 <= number <= 127 and begin >= 0:
                    yield from _note(self.channel, number, velocity, begin, begin + grace.length)
            yield from self._glides(sound)

    def _attacks(self, voice: TimedVoice) -> Iterator[tuple[TimedNote, ...]]:
        """The sounds of a voice. A sound whose glides cannot be written as a pitch bend is split
        into its notes."""
        for sound in voice.sounds:
            if len(sound) == 1 or self._bends_of(sound) is not None:
                yield sound
            else:
                yield from ((note,) for note in sound)

    def _sounds(self, note: TimedNote) -> Iterator[tuple[int, int]]:
        """Channels and note numbers of a note; what MIDI has no number for is left out."""
        if note.spoken:
            yield _PERCUSSION, _DRUMS[note.spoken]
        for semitones in note.semitones:
            if 0 <= self.tonic + semitones <= 127:
                yield self.channel, self.tonic + semitones

    def _bend_range(self) -> Iterator[_Moment]:
        """Set registered parameter 0: how far a bend reaches."""
        controls = ((101, 0), (100, 0), (6, _BEND_RANGE), (38, 0), (101, 127), (100, 127))
        for control, value in controls:
            yield 0, _CHANGE, self._control(control, value)

    def _control(self, control: int, value: int) -> Message:
        from mido import Message

        return Message("control_change", channel=self.channel, control=control, value=value)

    def _expression(
        self, points: Sequence[tuple[int, float]], loudest: float
    ) -> Iterator[tuple[int, int]]:
        """The values of the expression controller over a sound, each with its tick. Like velocity,
        they are proportional to the level."""
        for (start, first), (end, last) in pairwise(points):
            count = max(1, _EXPRESSIONS * (end - start) // self.beat)
            for step in range(count):
                at = start + (end - start) * step // count
                level = first * (last / first) ** (step / count)
                yield at, round(_FULL * level / loudest)
        yield points[-1][0], round(_FULL * points[-1][1] / loudest)

    def _bends_of(self, sound: Sequence[TimedNote]) -> list[tuple[int, int, int]] | None:
        """The glides of a sound: start tick, end tick, and the goal in semitones above the pitch of
        its attack. None where its pitches do not all glide by the same interval, or glide further
        than a bend reaches."""
        ways = []
        for note in sound:
            if note.glide is None:
                continue
            pairs = zip(note.glide.semitones, sound[0].semitones, strict=True)
            apart = {goal - own for goal, own in pairs}
            if len(apart) != 1 or abs(min(apart)) > _BEND_RANGE:
                return None
            ways.append((note.at + note.glide.start, note.end, apart.pop()))
        return ways

    def _glides(self, sound: Sequence[TimedNote]) -> Iterator[_Moment]:
        """The glides of a sound as pitch bends that move evenly and rest between glides."""
        from mido import Message

        ways, before = self._bends_of(sound) or [], 0
        for begin, end, way in ways:
            count = max(1, _BENDS * (end - begin) // self.beat)
            for step in range(1, count + 1):
                at = begin + (end - begin) * step // count
                moved = Fraction(before * (count - step) + way * step, count)
                bend = round(_MOST_BEND * moved / _BEND_RANGE)
                if at < sound[-1].end:
                    yield at, _CHANGE, Message("pitchwheel", channel=self.channel, pitch=bend)
            before = way
        if ways:
            end = sound[-1].end
            yield end, _CHANGE, Message("pitchwheel", channel=self.channel, pitch=0)


def _levels(sound: Sequence[TimedNote]) -> list[tuple[int, float]]:
    """The ticks at which the level of a sound changes course, and the levels there."""
    points: list[tuple[int, float]] = []
    for note in sound:
        points.append((note.at, note.level))
        points += [(note.at + tick, level) for tick, level in note.swell]
    return points


def _note(channel: int, pitch: int, velocity: int, start: int, end: int) -> Iterator[_Moment]:
    from mido import Message

    yield start, _START, Message("note_on", channel=channel, note=pitch, velocity=velocity)
    yield end, _END, Message("note_off", channel=channel, note=pitch, velocity=0)
