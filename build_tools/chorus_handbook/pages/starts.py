"""How an exercise starts in each key: the pitch to give, and on which note each voice begins, in
words and as a picture of a keyboard."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from chorus_handbook.catalogue import _, joined, listed
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engraved import sprite
from chorus_handbook.pages import words
from chorus_handbook.pages.keyboard import keyboard, octave, stretch
from chorus_handbook.pitch import Pitch
from chorus_handbook.voices import Ladder, Rung


@dataclass(frozen=True, slots=True)
class Starts:
    """What stands under the score in each key, by its tonic, and the signs that it refers to; both
    empty where nobody sings a pitch."""

    signs: Markup
    by_tonic: dict[Pitch, Markup]

    def caption(self, tonic: Pitch) -> Markup:
        """The caption of the score in this key."""
        return self.by_tonic.get(tonic, Markup())


def starts(ladder: Ladder | None, chorus: Chorus, mode: str) -> Starts:
    """The starts in all keys of a ladder."""
    shown = stretch(ladder.rungs) if ladder else None
    if ladder is None or shown is None:
        return Starts(Markup(), {})
    return Starts(
        Markup(sprite({"octave": octave()})),
        {
            rung.tonic: _sentence(rung, chorus, mode) + keyboard(rung, chorus, shown)
            for rung in ladder.rungs
        },
    )


def _sentence(rung: Rung, chorus: Chorus, mode: str) -> Markup:
    begins: dict[str, list[str]] = {}
    for name, step in rung.voices.items():
        begins.setdefault(words.note(step.first), []).append(chorus.voices[name].label)
    # Translators: Soprano and Alto C4
    each = [_("{voices} {note}", voices=listed(v), note=note) for note, v in begins.items()]
    text = _(
        "In {key}: give {note}. Starting notes: {starts}.",
        key=Markup("<strong>{}</strong>").format(words.key(rung.tonic, mode)),
        note=words.note(rung.tonic),
        starts=joined(each),
    )
    return Markup('<figcaption class="hb-give">{}</figcaption>').format(text)
