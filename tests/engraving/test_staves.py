"""Who shares a staff, and what stands before it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.staves import Staff, bass_readers, part_labels, short_names, staves
from chorus_handbook.music.score import RoundEntry, ScoreFile
from chorus_handbook.pitch import Pitch

ALL = ["soprano", "alto", "tenor", "bass"]


def shown(found: tuple[Staff, ...]) -> list[tuple[str, str | None, str]]:
    return [(" ".join(staff.names), staff.clef, staff.short) for staff in found]


def test_one_tune_has_one_staff_in_whatever_octaves_it_is_sung(build: Any, chorus: Chorus) -> None:
    score = build.score(build.together(ALL, build.scale(0, 1, 2, 3)))
    (staff,) = staves(score, chorus)
    assert shown((staff,)) == [("All", "treble", "All")]
    assert (staff.part.voice, [part.voice for part in staff.parts]) == ("soprano", ALL)


def test_it_is_written_for_a_treble_clef_where_one_of_its_voices_reads_one(
    build: Any, chorus: Chorus
) -> None:
    for voices, written, clef in (
        (["tenor", "bass"], "tenor", "treble-8"),
        (["alto", "tenor", "bass"], "alto", "treble"),
        (["bass"], "bass", "bass"),
    ):
        (staff,) = staves(build.score(build.together(voices, build.scale(0, 1))), chorus)
        assert (staff.part.voice, staff.clef) == (written, clef)
    low_first = {v: chorus.voices[v] for v in reversed(ALL)}
    upside_down = chorus.model_copy(update={"voices": low_first})
    (staff,) = staves(build.score(build.together(ALL, build.scale(0, 1))), upside_down)
    assert (staff.part.voice, staff.part.octave, staff.clef) == ("bass", 0, "treble")


def test_readers_of_a_bass_clef_get_it_under_the_same_ids(build: Any, chorus: Chorus) -> None:
    score = build.score(build.together(ALL, build.scale(0, 1, 2, 3)))
    (usual,), (low,) = staves(score, chorus), staves(score, chorus, "bass")
    assert (low.clef, low.part.octave, low.names) == ("bass", -1, ("All",))
    assert low.part.notes == usual.part.notes
    assert bass_readers(score, chorus) == ("bass",)
    for nobody in (
        build.score([build.part("bass", build.scale(0, 1))]),  # has it anyway
        build.score(build.together(ALL, [build.spoken("middle", 1)])),
        build.score(build.together(["soprano", "tenor"], build.scale(0, 1))),
    ):
        assert bass_readers(nobody, chorus) == ()


def test_the_line_of_a_round_has_one_staff(build: Any, chorus: Chorus) -> None:
    entries = tuple(RoundEntry((voice,), Fraction(n)) for n, voice in enumerate(reversed(ALL)))
    score = build.score(build.together(ALL, build.scale(0, 1, 2, 3)))
    (staff,) = staves(replace(score, entries=entries), chorus)
    assert (staff.names, staff.clef, len(staff.parts)) == (("All",), "treble", 4)
    lower = build.score(build.together(ALL[2:], build.scale(0, 1, 2, 3)))
    found = staves(replace(lower, entries=entries[:2]), chorus)
    assert shown(found) == [("Tenor, Bass", "treble-8", "T, B")]


def test_different_lines_have_staves_of_their_own(build: Any, chorus: Chorus) -> None:
    parts = [build.part(v, build.scale(n, 1, 2, 3)) for n, v in enumerate(["alto", "soprano"])]
    found = staves(build.score(parts), chorus)
    assert [staff.names for staff in found] == [("Soprano",), ("Alto",)]  # the chorus's order


def test_speech_needs_one_line_for_everyone_and_no_clef(build: Any, chorus: Chorus) -> None:
    speech = [build.spoken("middle", 1)] * 4
    leader = build.part("leader", speech)
    found = staves(build.score([*build.together(ALL, speech), leader]), chorus)
    assert shown(found) == [("Leader", None, "L"), ("All", None, "All")]
    mixed = build.part("alto", [build.spoken("middle", 1), build.sung(0, 1)])
    assert staves(build.score([mixed]), chorus)[0].clef == "treble"


def test_silent_parts_keep_their_clef(build: Any, chorus: Chorus) -> None:
    parts = [build.part("bass", [build.rest(4)]), build.part("alto", [build.sung(0, 4)])]
    assert [staff.clef for staff in staves(build.score(parts), chorus)] == ["treble", "bass"]


def test_a_whole_chorus_on_one_staff_is_all(build: Any, chorus: Chorus) -> None:
    treble = chorus.model_copy(
        update={"voices": {v: chorus.voices[v] for v in ("soprano", "alto")}}
    )
    score = build.score(build.together(["soprano", "alto"], build.scale(0, 1)))
    assert staves(score, treble)[0].names == ("All",)


def test_short_names_tell_voices_apart() -> None:
    def named(*labels: str) -> list[str]:
        voice = {"clef": "treble", "comfortable": "C4 to C5", "limits": "C4 to C5"}
        voices = {f"v{n}": {"label": label, **voice} for n, label in enumerate(labels)}
        names = short_names(Chorus.model_validate({"name": "x", "voices": voices}))
        return [names[f"v{n}"] for n in range(len(labels))]

    assert named("Soprano", "Alto", "Tenor", "Bass") == ["S", "A", "T", "B"]
    assert named("Soprano 1", "Soprano 2", "Alto") == ["S1", "S2", "A"]
    assert named("Baritone", "Bass", "Lead") == ["Bar", "Bas", "Lead"]  # there is a Leader
    assert named("High", "High voice") == ["High", "High v"]


def test_many_names_are_shortened(chorus: Chorus, build: Any) -> None:
    five = {**chorus.voices, "extra": chorus.voices["alto"].model_copy(update={"label": "Child"})}
    both = chorus.model_copy(update={"voices": five})
    score = build.score(build.together(ALL, build.scale(0, 1), octave=0, same_staff=True))
    assert staves(score, both)[0].names == ("S, A, T, B",)


def test_parts_of_a_file_have_the_labels_of_those_who_sing_them(chorus: Chorus) -> None:
    """Whatever the file calls them, and where it hides their names."""
    singers = (
        ("P1", (("soprano",), ("alto",))),
        ("P2", (("tenor", "bass"),)),
        ("P3", (("leader",),)),
    )
    assert part_labels(ScoreFile("", Pitch.parse("C4"), singers), chorus) == (
        ("P1", "Soprano, Alto", "S, A"),
        ("P2", "Tenor, Bass", "T, B"),
        ("P3", "Leader", "L"),
    )
    everyone = (("P1", (tuple(ALL),)), ("P2", tuple((voice,) for voice in ALL)))
    assert part_labels(ScoreFile("", Pitch.parse("C4"), everyone), chorus) == (
        ("P1", "All", "All"),
        ("P2", "S, A, T, B", "S, A, T, B"),
    )
