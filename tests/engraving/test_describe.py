"""Drawings in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.describe import describe, legend
from chorus_handbook.music.score import Degree, Score, ScoreFile
from chorus_handbook.pitch import Pitch

ALL = ["soprano", "alto", "tenor", "bass"]


def described(score: Score, chorus: Chorus, tonic: str = "C4") -> tuple[str, str]:
    return describe("Slack water", score, chorus, Pitch.parse(tonic))


def test_a_unison_line_is_told_once(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 1, "brr__"), build.sung(1, 1), build.sung(2, 2)]
    assert described(build.score(build.together(ALL, events)), chorus) == (
        "Slack water in C major, 4/4",
        "Soprano, Alto: C4 D4 E4 on “brr”. Tenor, Bass: as Soprano, Alto, an octave lower.",
    )


def test_the_score_says_who_sings_in_another_octave_than_is_written(
    build: Any, chorus: Chorus
) -> None:
    tune = build.scale(0, 1, 2)
    assert legend(build.score(build.together(ALL, tune)), chorus) == (
        "Tenor and Bass: an octave lower than written."
    )
    assert legend(build.score(build.together(ALL, tune)), chorus, "bass") == (
        "Soprano and Alto: an octave higher than written."
    )
    assert legend(build.score(build.together(["tenor", "bass"], tune)), chorus) == ""
    assert legend(build.score([build.part(voice, tune) for voice in ALL]), chorus) == ""
    parts = [
        build.part(voice, tune, octave=octave, shares=tuple(ALL))
        for voice, octave in zip(ALL, (0, 1, -1, -2), strict=True)
    ]
    assert legend(build.score(parts), chorus) == (
        "Alto: an octave higher than written. Tenor: an octave lower than written. "
        "Bass: 2 octaves lower than written."
    )
    speech = build.together(ALL, [build.spoken("middle", 1)])
    assert legend(build.score(speech), chorus) == ""


def test_the_score_says_which_words_are_whose(build: Any, chorus: Chorus) -> None:
    """Where two singers on one staff have words of their own."""
    score = build.score([build.part("soprano", build.scale(0))])
    two, one = (("soprano",), ("alto",)), (("soprano", "alto"),)
    for side, other, singers, said in (
        (' placement="above"', "lo", two, "Words above a staff are its upper voice's"),
        ("", "lo", two, "Of two lines of words, the first is the upper voice's"),
        ("", "la", two, ""),  # the same words are printed once
        ("", "lo", one, ""),
    ):
        notes = (
            f"<note><duration>4</duration><voice>1</voice><lyric{side}><text>la</text></lyric>"
            "</note><backup><duration>4</duration></backup><note><duration>4</duration>"
            f"<voice>2</voice><lyric><text>{other}</text></lyric></note>"
        )
        xml = f"<score-partwise><part><measure>{notes}</measure></part></score-partwise>"
        words = legend(
            replace(score, file=ScoreFile(xml, Pitch.parse("C4"), (("P1", singers),))), chorus
        )
        assert words.startswith(said) and bool(words) == bool(said)


def test_signs_are_written_out_in_the_title_and_drawn_in_the_text(
    build: Any, chorus: Chorus
) -> None:
    part = build.part("bass", [build.sung(0, 2), build.sung(4, 2, alter=1)])
    score = build.score([part], meter="free", mode="minor")
    assert described(score, chorus, "Eb4") == (
        "Slack water in E flat minor, free meter",
        "Bass: E♭3 B3.",
    )
    assert described(score, chorus, "F#4")[1] == "Bass: F♯3 C♯♯4."


def test_words_are_joined_and_verses_listed(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 2, ["har-", "oh"]), build.sung(1, 1, ["bour", None]), build.sung(2, 1)]
    score = build.score([build.part("alto", events)])
    assert described(score, chorus)[1] == "Alto: C4 D4 E4 on “harbour”, “oh”."


def test_speech_has_no_key(build: Any, chorus: Chorus) -> None:
    speech = [build.spoken("middle", 1, "tide"), build.spoken("high", 1)]
    parts = [build.part("leader", speech), *build.together(ALL, speech)]
    assert described(build.score(parts), chorus) == (
        "Slack water, 4/4",
        "Leader: 2 spoken beats on “tide”. All: 2 spoken beats on “tide”.",
    )
    mixed = build.part("alto", [build.sung(0, 1), build.spoken("low", 1)])
    assert described(build.score([mixed]), chorus)[1] == "Alto: C4 spoken."


def test_long_lines_are_cut_short(build: Any, chorus: Chorus) -> None:
    events = [build.sung(0, 1, "la") for _ in range(100)]
    text = described(build.score([build.part("alto", events)]), chorus)[1]
    assert "and 84 more notes" in text
    assert "la …”" in text
    assert len(text) < 200


def test_silent_parts_say_so(build: Any, chorus: Chorus) -> None:
    parts = [build.part("alto", [build.sung(0, 4)]), build.part("bass", [build.rest(4)])]
    assert described(build.score(parts), chorus)[1] == "Alto: C4. Bass: silent."


def test_divided_notes_are_told_together(build: Any, chorus: Chorus) -> None:
    events = [
        build.sung(4, 1, below=(Degree(2, -1), Degree(0))),
        build.sung(3, 1, below=(Degree(1),), graces=(Degree(2),)),
        build.sung(2, 2),
    ]
    score = build.score([build.part("bass", events)])
    assert described(score, chorus)[1] == "Bass: (G3 with E♭3 and C3) (F3 with D3) E3."
