"""The names of drawings, and what one must know to read them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.describe import drawing_title, legend
from chorus_handbook.music.score import ScoreFile
from chorus_handbook.pitch import Pitch

ALL = ["soprano", "alto", "tenor", "bass"]


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


def test_a_drawing_is_named_by_its_key_and_meter(build: Any) -> None:
    def title(events: list[Any], tonic: str = "C4", **more: Any) -> str:
        score = build.score([build.part("bass", events)], **more)
        return drawing_title("Slack water", score, Pitch.parse(tonic))

    tune, speech = build.scale(0), [build.spoken("middle", 1)]
    assert title(tune) == "Slack water in C major, 4/4"
    assert title(tune, "Eb4", meter="free", mode="minor") == (
        "Slack water in E flat minor, free meter"
    )
    assert title(tune, "F#4", mode="dorian") == "Slack water in F sharp Dorian, 4/4"
    assert title(speech) == "Slack water, 4/4"
