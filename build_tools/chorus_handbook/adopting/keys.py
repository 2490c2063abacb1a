"""Moves an adopted exercise into keys that our voices can sing.

If our voices fare no worse in its own keys than the voices of the other chorus did, the keys stay.
Otherwise `voices/fitting.py` looks for the nearest keys that suit, and the field `step_out`, which
says whether voices may stop for some keys, changes if there are none in which all can sing.
"""

from __future__ import annotations

from pathlib import Path

from chorus_handbook.adopting.choices import Adopted, AdoptionError
from chorus_handbook.adopting.exercise import with_keys
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries import read_entry
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.music import read_score
from chorus_handbook.music.keys import spell_keys
from chorus_handbook.voices import Ladder, compute_ladder
from chorus_handbook.voices.fitting import fit_keys


def in_our_keys(
    adopted: Adopted, theirs: Ladder | None, root: Path, chorus: Chorus, vocabulary: Vocabulary
) -> Adopted:
    """The exercise in keys for our chorus: its own keys if our voices reach them as well as the
    voices of the other chorus do, otherwise the nearest keys that suit. An exercise with errors is
    returned unchanged. Raises AdoptionError if no keys suit.

    theirs: what each voice of the other chorus does in each key; None if its music could not
        be measured.
    root: the folder of our handbook. The files of the exercise must already be there.
    """
    slug = Path(adopted.page).stem
    source, entry, _ = read_entry(adopted.text, slug, f"{root.name}/{EXERCISE.page(slug)}")
    path = entry.front.key_path if entry else None
    if entry is None or path is None:
        return adopted
    front = entry.front
    score = read_score(source, front, chorus, root)[0].score
    if score is None:
        return adopted
    manner = vocabulary.soundings.get(front.sounding)
    # Hums and trills may go as far as a voice's widest range, other sounds only to its limits.
    wide = manner is not None and manner.widest
    # What a voice may do at the end of its range: nothing but sing on ("no"), stop for some keys
    # ("allowed"), or change octave ("octave").
    may_change = front.step_out == "octave"
    own = compute_ladder(
        score, spell_keys(score, path), chorus, may_change_octave=may_change, wide=wide
    )
    if _hardship(own) <= _hardship(theirs) and not (front.step_out == "no" and _hardship(own)[0]):
        return adopted
    found = fit_keys(score, path, chorus, step_out=front.step_out, wide=wide)
    step_out = found.step_out if found and found.step_out != front.step_out else None
    if found is None:
        # There are no keys in which all parts of the harmony are comfortable ("no"). With
        # "allowed", `fit_keys` accepts keys at the edge of a voice's range. In harmony it still
        # lets no voice stop, so the exercise keeps its own `step_out`.
        found = fit_keys(score, path, chorus, step_out="allowed", wide=wide)
    if found is None:
        raise AdoptionError(_why_not(slug, in_harmony=len(own.lines) > 1))
    if (str(found.path), step_out) == (str(path), None):
        return adopted
    moved = with_keys(adopted, str(found.path), step_out)
    moved.remarks.append(f'Keys moved: "{found.path}" in place of "{path}".')
    if step_out:
        moved.remarks.append("Voices may step out (step_out: allowed): no key is easy for all.")
    return moved


def _why_not(slug: str, *, in_harmony: bool) -> str:
    """Why an exercise, in several parts (`in_harmony`) or in one line, cannot be sung in any
    key."""
    if in_harmony:
        return (
            f'"{slug}" cannot be sung by these voices in any key: its parts together reach further '
            "than they do. Give its parts to other voices with --voice, or leave it out"
        )
    return (
        f'"{slug}" cannot be sung by these voices: everyone sings the same line, and in every key '
        "it leaves out more than half of them. Leave it out"
    )


def _hardship(ladder: Ladder | None) -> tuple[int, int]:
    """How hard a ladder is for the voices: in how many cases (one voice in one key) a voice has to
    step out, and in how many it leaves its comfortable range."""
    rungs = ladder.rungs if ladder else ()
    states = [step.state for rung in rungs for step in rung.voices.values()]
    return sum(len(rung.out) for rung in rungs), states.count("edge")
