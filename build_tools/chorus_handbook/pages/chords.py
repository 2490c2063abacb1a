"""Shows the chords of an exercise to people who accompany it on an instrument: as a list of bars in
a folded part of the page, and as symbols above the score, which `browser/row_choices.js`
inserts."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace

from markupsafe import Markup

from chorus_handbook.music.chord_names import ChordName, NamedChord
from chorus_handbook.music.facts import Facts
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render


def chord_bars(chords: Sequence[NamedChord], facts: Facts) -> Markup:
    """The list of chords as HTML: for each bar in which a chord sounds, the Roman numerals, and the
    chord symbols in the first key. Empty without chords."""
    if not chords:
        return Markup()
    tonic = facts.keys[0]
    bars: dict[int, list[tuple[str, str]]] = {}
    for chord in chords:
        for bar in range(chord.bar, chord.last_bar + 1):
            texts = chord.name.numeral(facts.mode), chord.name.symbol(tonic)
            bars.setdefault(bar, []).append(texts)
    return render("exercise_chords.html", key=words.key(tonic, facts.mode), bars=bars)


def symbols_for_browser(chords: Sequence[NamedChord], facts: Facts, *, in_round: bool) -> str:
    """JSON with the ids of the drawn notes that get a chord symbol above them, and these symbols in
    every key; empty if there are no chords. In most exercises one note of a chord gets the symbol.
    In a round, all notes that begin with the chord get it, because they are at different places of
    the one line that is drawn."""
    names = _by_note(chords, in_round=in_round)
    if not names:
        return ""
    keys = {
        str(tonic): [name.symbol(tonic) for name in names.values()]
        for tonic in dict.fromkeys(facts.keys)
    }
    data = {"notes": list(names), "keys": keys}
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def _by_note(chords: Sequence[NamedChord], *, in_round: bool) -> dict[str, ChordName]:
    """The name of the chord for each drawn note, by the note's id. A drawn note may be sung several
    times. If the chord is then the same but for its lowest note, it is named without its lowest
    note; if the chords differ, the note gets none."""
    found: dict[str, set[ChordName]] = {}
    for chord in chords:
        for note in chord.notes if in_round else chord.notes[:1]:
            found.setdefault(note, set()).add(chord.name)
    names: dict[str, ChordName] = {}
    for note, different in found.items():
        over_roots = {replace(name, bass=name.root) for name in different}
        if len(over_roots) == 1:
            (names[note],) = different if len(different) == 1 else over_roots
    return names
