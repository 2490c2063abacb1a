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

#: The most ticks in a quarter note: a file has 15 bits for them.
_MOST_TICKS = 0x7FFF
#: The most microseconds in a quarter note: a file has 24 bits for them.
_MOST_MICROSECONDS = 0xFFFFFF
#: The channel of percussion (counted from 0), and the drums for the heights of spoken beats.
_PERCUSSION = 9
_DRUMS = {"high": 76, "middle": 37, "low": 77}
#: Semitones that the largest pitch bend reaches, and how many bends a glide has in each beat.
_BEND_RANGE, _BENDS_PER_BEAT = 24, 16
#: The largest value of a pitch bend.
_LARGEST_BEND = 8191
#: The number of the expression controller, how many times in a beat it is sent while a level
#: changes, and its largest value.
_EXPRESSION, _EXPRESSIONS_PER_BEAT, _FULL = 11, 16, 127
#: mido's names of keys, from seven flats to seven sharps.
_MAJOR_KEYS = "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split()
_MINOR_KEYS = "Abm Ebm Bbm Fm Cm Gm Dm Am Em Bm F#m C#m G#m D#m A#m".split()


@dataclass(frozen=True, slots=True)
class MidiPiece:
    """What a MIDI file is made from. `tempo` counts beats of the meter in a minute; `tonic` is the
    tonic of the first key."""

    title: str
    timed: TimedPass
    meter: Meter
    tempo: float
    tonic: Pitch


@dataclass(frozen=True, slots=True)
class _FileClock:
    """How a file counts time. Its ticks are those of the pass. A quarter note has `division` ticks
    and lasts `microseconds`. If these numbers do not fit into a file, one beat counts as a quarter
    note, and the file states no meter (`metered` is false)."""

    division: int
    microseconds: int
    metered: bool

    @classmethod
    def of(cls, piece: MidiPiece) -> _FileClock:
        ticks, beat = piece.timed.ticks, piece.meter.beat  # ticks in a beat, quarters in a beat
        quarter, microseconds = ticks / beat, round(60_000_000 / (piece.tempo * float(beat)))
        if (
            quarter.denominator == 1
            and quarter <= _MOST_TICKS
            and microseconds <= _MOST_MICROSECONDS
        ):
            return cls(int(quarter), microseconds, not piece.meter.free)
        return cls(ticks, round(60_000_000 / piece.tempo), False)


#: When a message is sent (in ticks), its rank among messages of the same tick, and the message.
_Moment = tuple[int, int, "Message | MetaMessage"]
#: The ranks: ends of notes come first, then syllables, changes of other things, starts of notes.
_END, _WORD, _CHANGE, _START = range(4)


def midi_file(piece: MidiPiece) -> bytes:
    """The content of the MIDI file of a piece. Equal pieces give equal bytes."""
    from mido import MidiFile  # late: only what is heard for the first time needs it

    clock = _FileClock.of(piece)
    file = MidiFile(type=1, ticks_per_beat=clock.division, charset="utf-8")
    end = piece.timed.length
    _add(file, _conductor(piece, clock), end)
    for place, voice in enumerate(piece.timed.voices):
        # 16 channels without that of percussion; from the 16th voice on, voices share them.
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
        click = int(24 * meter.beat)  # MIDI clocks in a beat; a quarter note has 24
        yield 0, _CHANGE, MetaMessage("time_signature", **signs, clocks_per_click=click)
    minor = Degree(2).semitones(piece.timed.mode) == 3  # its third is a minor one
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
        """The sounds of a voice (`TimedVoice.sounds`): each is an attack with the notes into which
        it glides. A sound whose glides cannot be written as a pitch bend is split into its
        notes."""
        for sound in voice.sounds:
            if len(sound) == 1 or self._bends_of(sound) is not None:
                yield sound
            else:
                yield from ((note,) for note in sound)

    def _sounds(self, note: TimedNote) -> Iterator[tuple[int, int]]:
        """Channels and note numbers of a note. Pitches that have no number in MIDI are left out."""
        if note.spoken:
            yield _PERCUSSION, _DRUMS[note.spoken]
        for semitones in note.semitones:
            if 0 <= self.tonic + semitones <= 127:
                yield self.channel, self.tonic + semitones

    def _bend_range(self) -> Iterator[_Moment]:
        """Set registered parameter 0, how far a bend reaches: choose it with controllers 101 and
        100, set it with 6 and 38, and choose no parameter (127) again."""
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
            count = max(1, _EXPRESSIONS_PER_BEAT * (end - start) // self.beat)
            for step in range(count):
                at = start + (end - start) * step // count
                level = first * (last / first) ** (step / count)
                yield at, round(_FULL * level / loudest)
        yield points[-1][0], round(_FULL * points[-1][1] / loudest)

    def _bends_of(self, sound: Sequence[TimedNote]) -> list[tuple[int, int, int]] | None:
        """The glides of a sound: start tick, end tick, and the goal in semitones above the pitch of
        its attack. None if its pitches do not all glide by the same interval, or glide further than
        a bend reaches."""
        glides = []
        for note in sound:
            if note.glide is None:
                continue
            pairs = zip(note.glide.semitones, sound[0].semitones, strict=True)
            intervals = {goal - own for goal, own in pairs}
            if len(intervals) != 1 or abs(min(intervals)) > _BEND_RANGE:
                return None
            glides.append((note.at + note.glide.start, note.end, intervals.pop()))
        return glides

    def _glides(self, sound: Sequence[TimedNote]) -> Iterator[_Moment]:
        """The glides of a sound as pitch bends that move evenly and rest between glides."""
        from mido import Message

        glides, before = self._bends_of(sound) or [], 0
        for begin, end, interval in glides:
            count = max(1, _BENDS_PER_BEAT * (end - begin) // self.beat)
            for step in range(1, count + 1):
                at = begin + (end - begin) * step // count
                moved = Fraction(before * (count - step) + interval * step, count)
                bend = round(_LARGEST_BEND * moved / _BEND_RANGE)
                if at < sound[-1].end:
                    yield at, _CHANGE, Message("pitchwheel", channel=self.channel, pitch=bend)
            before = interval
        if glides:
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
