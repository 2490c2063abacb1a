"""Check for notes that the player's instrument does not have.

What it checks: that in every key all notes of all voices and the leader are within the range of the
instrument with which pages play music. Source: the range is our choice. Choral music fits into it
with a third to spare (351 chorales by J. S. Bach in music21's corpus are between C2 and A5), and
with more notes every page would have more to load.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import to_answer
from chorus_handbook.music.facts import VoiceFacts
from chorus_handbook.pitch import Pitch, named
from chorus_handbook.problems import Problem
from chorus_handbook.shared_facts import FACTS

#: The MIDI numbers of the lowest and the highest note that the player can play.
LOWEST_HEARD: int = FACTS["reach"]["lowest"]
HIGHEST_HEARD: int = FACTS["reach"]["highest"]


def check_playback_range(subject: Subject) -> Iterator[Problem]:
    """Yields a notice `sound-reach` for each voice with a note that cannot be heard, for the first
    key in which it has one."""
    facts, ladder = subject.facts, subject.ladder
    if facts is None:
        return
    if ladder and ladder.rungs and len(ladder.rungs[0].out) == len(ladder.rungs[0].voices):
        return  # `ladder-start` has reported that nobody can sing the first key
    for voice in facts.voices:
        for tonic in facts.keys:
            unheard = _unheard(voice, tonic.midi - facts.keys[0].midi)
            if unheard:
                midi, where = unheard
                yield _problem(subject, voice.voice, tonic, midi, where)
                break


def _unheard(voice: VoiceFacts, semitones: int) -> tuple[int, str] | None:
    """The note of a voice that the instrument does not have when the voice is transposed up by
    `semitones`: its MIDI number, and words for where it lies, such as "below A1, the lowest". None
    when the instrument has all of the voice's notes."""
    if voice.lowest and voice.lowest.midi + semitones < LOWEST_HEARD:
        return voice.lowest.midi + semitones, f"below {named(LOWEST_HEARD)}, the lowest"
    if voice.highest and voice.highest.midi + semitones > HIGHEST_HEARD:
        return voice.highest.midi + semitones, f"above {named(HIGHEST_HEARD)}, the highest"
    return None


def _problem(subject: Subject, voice: str, tonic: Pitch, midi: int, where: str) -> Problem:
    return Problem(
        subject.place_of("keys"),
        "sound-reach",
        f"In the key {tonic}, {voice} sings {named(midi)}. That is {where} note that the handbook "
        "can play, so it will not be heard.",
        "Check the octave of the notes, or leave out the keys in which this happens. If it is "
        f"meant, {to_answer('sound-reach')}.",
    )
