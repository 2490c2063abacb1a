"""The caption under the score in each key: the pitch to give and the starting note of each voice,
in words and as a picture of a keyboard."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from chorus_handbook.catalogue import _, joined, listed
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engraved import sprite
from chorus_handbook.pages import words
from chorus_handbook.pages.keyboard import keyboard, keyboard_part, octave
from chorus_handbook.pitch import Pitch
from chorus_handbook.voices import Ladder, Rung


@dataclass(frozen=True, slots=True)
class Starts:
    """The captions of a score, each with the starting notes in one key, keyed by the tonic, and the
    SVG symbols (`signs`) that they refer to. Both are empty when nobody sings a pitch."""

    signs: Markup
    by_tonic: dict[Pitch, Markup]

    def caption(self, tonic: Pitch) -> Markup:
        """The caption of the score in this key."""
        return self.by_tonic.get(tonic, Markup())


def starts(ladder: Ladder | None, chorus: Chorus, mode: str) -> Starts:
    """The captions of a score, with its starting notes, for all keys of a ladder."""
    shown = keyboard_part(ladder.rungs) if ladder else None
    if ladder is None or shown is None:
        return Starts(Markup(), {})
    return Starts(
        Markup(sprite({"octave": octave()})),
        {
            rung.tonic: _sentence(rung, chorus, mode) + keyboard(rung, chorus, shown)
            for rung in ladder.rungs
        },
    )


def starting_notes(rung: Rung, chorus: Chorus) -> str:
    """On which note each voice begins: "Soprano and Alto C4, Tenor and Bass C3"."""
    begins: dict[str, list[str]] = {}
    for name, step in rung.voices.items():
        begins.setdefault(words.note(step.first), []).append(chorus.voices[name].label)
    return joined(
        # Translators: Soprano and Alto C4
        _("{voices} {note}", voices=listed(labels), note=note)
        for note, labels in begins.items()
    )


def _sentence(rung: Rung, chorus: Chorus, mode: str) -> Markup:
    text = _(
        "In {key}: give {note}. Starting notes: {starts}.",
        key=Markup("<strong>{}</strong>").format(words.key(rung.tonic, mode)),
        note=words.note(rung.tonic),
        starts=starting_notes(rung, chorus),
    )
    return Markup('<p class="hb-give">{}</p>').format(text)
