"""`handbook new`: writes the file of a new exercise, which is valid except for texts that its
author must write.

If someone is at the keyboard, the command asks for what its options do not say.
"""

from __future__ import annotations

import argparse
import sys

from chorus_handbook import report
from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.chorus.model import Chorus, NotationKind
from chorus_handbook.commands.files import write_new
from chorus_handbook.commands.project import Project
from chorus_handbook.commands.questions import Known, add_flags, answers
from chorus_handbook.entries.draft import draft
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.pipeline import entries_of
from chorus_handbook.pitch import named
from chorus_handbook.records import records_of
from chorus_handbook.source.names import as_name

SUMMARY = "Write a new exercise: asks for what it needs, or takes it from flags"

#: MIDI number of the tonic on which a new exercise begins, if that suits the chorus.
_USUAL_TONIC = 60
#: How far that tonic may be moved to suit the chorus, in semitones.
_FARTHEST_MOVE = 18
#: How far the example notes reach above the tonic, in semitones.
_EXAMPLE_RANGE = 4
#: How far the keys rise if the voices and the minutes allow it, in semitones (our choice).
_RISE = 4


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_flags(parser)
    parser.add_argument(
        "--silent",
        action="store_true",
        default=None,
        help="without notes: for body, breath or speech",
    )


def run(project: Project, options: argparse.Namespace) -> int:
    root = project.root
    config, problems = read_chorus_config(root)
    if config.vocabulary is None or config.chorus is None:
        print(report.as_text(problems), file=sys.stderr)
        print("handbook new: fix the files named above first.", file=sys.stderr)
        return 1
    entries = entries_of(tuple(records_of(root, config, project.cache)))
    given = answers(options, Known(config.vocabulary, entries, root))
    notation: NotationKind = config.vocabulary.soundings[given["sounding"]].notation
    if given["silent"]:
        notation = "none"
    elif notation == "none":  # --silent was not given: write spoken beats
        notation = "spoken"
    path = root / EXERCISE.page(as_name(given["title"]))
    text = draft(
        title=given["title"],
        plain=given["plain"],
        summary=given["summary"],
        goals=given["goal"],
        impact=given["impact"],
        sounding=given["sounding"],
        level=given["level"],
        minutes=given["minutes"],
        notation=notation,
        keys=_keys(config.chorus, climb=given["minutes"] >= 1) if notation == "sung" else "C4",
    )
    write_new({path: text.encode()}, "choose another title")
    example = "" if notation == "none" else " and the example notes"
    print(
        f"Written. Replace the texts in [brackets]{example} by your own; "
        "`handbook check` lists those that are left.",
        file=sys.stderr,
    )
    print(path)
    return 0


def _keys(chorus: Chorus, *, climb: bool) -> str:
    """The value of the field `keys`: keys in which the example notes are comfortable for all
    voices, rising ones with `climb`. If there are none, it is the key that is comfortable for most
    voices, and the field `step_out` is added, which lets the other voices be silent."""
    near = sorted(
        range(_USUAL_TONIC - _FARTHEST_MOVE, _USUAL_TONIC + _FARTHEST_MOVE + 1),
        key=lambda tonic: abs(tonic - _USUAL_TONIC),
    )

    def fits(tonic: int, reach: int) -> int:
        """How many voices can comfortably sing from the tonic to `reach` semitones above it."""
        return sum(
            voice.comfortable.low <= tonic + 12 * voice.octave
            and tonic + 12 * voice.octave + reach <= voice.comfortable.high
            for voice in chorus.voices.values()
        )

    for rise in (_RISE, 0) if climb else (0,):
        for tonic in near:
            if fits(tonic, _EXAMPLE_RANGE + rise) == len(chorus.voices):
                return f"{named(tonic)} up to {named(tonic + rise)}" if rise else named(tonic)
    most = max(near, key=lambda tonic: fits(tonic, _EXAMPLE_RANGE))
    return f"{named(most)}\nstep_out: allowed"
