"""The player's controls under a score; `browser/player_page.js` makes them work."""

from __future__ import annotations

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import LEADER, Score
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import FOLDER, link


def player(page_path: str, slug: str, score: Score, facts: Facts, chorus: Chorus) -> str:
    """The controls, hidden until a script makes them work."""
    voices = [
        (
            part.voice,
            chorus.leader.label if part.voice == LEADER else chorus.voices[part.voice].label,
            any(note.degree for note in part.sung),
        )
        for part in score.parts
    ]
    return render(
        "player.html",
        notes=link(page_path, f"{FOLDER}/{slug}/notes.json"),
        midi=link(page_path, f"{FOLDER}/{slug}/{slug}.mid"),
        instrument=link(page_path, f"{FOLDER}/instrument.json"),
        tempo=f"{facts.tempo:g}",
        voices=voices,
        sung=any(sings for *_, sings in voices),
        several_keys=len(facts.keys) > 1,
    )
