"""A Standard MIDI File of one pass in the first key: mido, behind this one module.

Format 1: a track with tempo, meter and key, then a track a voice with its syllables. Times are
those that sound, holds and breaths included. Spoken beats are struck on the percussion channel; a
glide is a pitch bend over its note. Pitches are equal-tempered: a file of notes has no others.
Numbers of instruments and drums are those of General MIDI (from memory).
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from chorus_handbook.music.keys import signature
from chorus_handbook.music.score import Degree, Meter
from chorus_handbook.pitch import Pitch
from chorus_handbook.sound.timed import Glide, Timed, TimedNote, TimedVoice

if TYPE_CHECKING:
    from mido import Message, MetaMessage, MidiFile

#: Ticks a quarter are a number of 15 bits.
_MOST_DIVISION = 0x7FFF
#: Microseconds a quarter are a number of 24 bits.
_LONGEST_QUARTER = 0xFFFFFF
_PERCUSSION = 9
_DRUMS = {"high": 76, "middle": 37, "low": 77}
#: A bend reaches so many semitones, and is moved so often a beat.
_BEND_RANGE, _BENDS = 24, 16
_MOST_BEND = 8191
_MAJOR_KEYS = "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split()
_MINOR_KEYS = "Abm Ebm Bbm Fm Cm Gm Dm Am Em Bm F#m C#m G#m D#m A#m".split()


@dataclass(frozen=True, slots=True)
class Piece:
    """What a file is made from. `tempo` is in beats of the meter a minute."""

    title: str
    timed: Timed
    meter: Meter
    tempo: float
    tonic: Pitch


@dataclass(frozen=True, slots=True)
class _Clock:
    """The file's ticks are those of the pass; `division` of them make a quarter of `microseconds`.
    Where a file cannot count so, the beat is called a quarter, and there is no meter."""

    division: int
    microseconds: int
    metered: bool

    @classmethod
    def of(cls, piece: Piece) -> _Clock:
        ticks, beat = piece.timed.ticks, piece.meter.beat
        quarter, microseconds = ticks / beat, round(60_000_000 / (piece.tempo * float(beat)))
        if (
            quarter.denominator == 1
            and quarter <= _MOST_DIVISION
            and microseconds <= _LONGEST_QUARTER
        ):
            return cls(int(quarter), microseconds, not piece.meter.free)
        return cls(ticks, round(60_000_000 / piece.tempo), False)


#: A moment in ticks, the order among what happens there, and what happens.
_Moment = tuple[int, int, "Message | MetaMessage"]
_END, _WORD, _CHANGE, _START = range(4)


def midi_file(piece: Piece) -> bytes:
    """The file; the same bytes for the same piece."""
    from mido import MidiFile  # late: only what is heard for the first time needs it

    clock = _Clock.of(piece)
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
    """A track, from its moments in whatever order; it lasts to the end of the pass."""
    from mido import MetaMessage

    track = file.add_track()
    now = 0
    for at, _, message in sorted(moments, key=lambda moment: moment[:2]):
        track.append(message.copy(time=at - now))
        now = at
    track.append(MetaMessage("end_of_track", time=max(end - now, 0)))


def _conductor(piece: Piece, clock: _Clock) -> Iterator[_Moment]:
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
    """Writes one voice: on which channel, above which tonic, with so many ticks to a beat."""

    channel: int
    tonic: int
    beat: int

    def track(self, voice: TimedVoice) -> Iterator[_Moment]:
        """All that happens in the voice's track."""
        from mido import Message, MetaMessage

        yield 0, _CHANGE, MetaMessage("track_name", name=voice.label)
        yield 0, _CHANGE, Message("program_change", channel=self.channel, program=0)
        if any(note.glide for note in voice.notes):
            yield from self._bend_range()
        for note in voice.notes:
            start, end = note.at, note.end
            if note.syllable:
                yield start, _WORD, MetaMessage("lyrics", text=note.syllable)
            velocity = max(1, min(127, round(127 * note.level)))
            for channel, pitch in self._sounds(note):
                on = Message("note_on", channel=channel, note=pitch, velocity=velocity)
                yield start, _START, on
                yield end, _END, Message("note_off", channel=channel, note=pitch, velocity=0)
            for grace in note.graces:
                number, begin = self.tonic + grace.semitones, start - grace.before
                if 0 <= number <= 127 and begin >= 0:
                    yield (
                        begin,
                        _START,
                        Message("note_on", channel=self.channel, note=number, velocity=velocity),
                    )
                    yield (
                        begin + grace.length,
                        _END,
                        Message("note_off", channel=self.channel, note=number, velocity=0),
                    )
            if note.glide:
                yield from self._glide(note, note.glide)

    def _sounds(self, note: TimedNote) -> Iterator[tuple[int, int]]:
        """Channels and numbers of what sounds; what lies beyond all MIDI numbers is left out."""
        if note.spoken:
            yield _PERCUSSION, _DRUMS[note.spoken]
        for semitones in note.semitones:
            if 0 <= self.tonic + semitones <= 127:
                yield self.channel, self.tonic + semitones

    def _bend_range(self) -> Iterator[_Moment]:
        """Registered parameter 0: how far a bend reaches."""
        from mido import Message

        controls = ((101, 0), (100, 0), (6, _BEND_RANGE), (38, 0), (101, 127), (100, 127))
        for control, value in controls:
            message = Message("control_change", channel=self.channel, control=control, value=value)
            yield 0, _CHANGE, message

    def _glide(self, note: TimedNote, glide: Glide) -> Iterator[_Moment]:
        """A glide as bends, where all pitches of the note glide alike."""
        from mido import Message

        ways = {goal - own for goal, own in zip(glide.semitones, note.semitones, strict=True)}
        way = ways.pop()
        if ways or abs(way) > _BEND_RANGE:
            return
        begin, end = note.at + glide.start, note.end
        count = max(1, _BENDS * (end - begin) // self.beat)
        for step in range(1, count):
            at = begin + (end - begin) * step // count
            bend = round(_MOST_BEND * Fraction(way * step, count * _BEND_RANGE))
            yield at, _CHANGE, Message("pitchwheel", channel=self.channel, pitch=bend)
        yield end, _CHANGE, Message("pitchwheel", channel=self.channel, pitch=0)
