"""A draft of one key serves the other keys: what that assumes of the engraver, held against it."""

from __future__ import annotations

from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.compact import Svg
from chorus_handbook.engraving.engine import Options, draw
from chorus_handbook.engraving.layouts import WIDTH_ERROR, KeyLayouts, ScoreLayouts, signature_width
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

#: Major keys by the sharps of their signature, flats below 0: common practice.
TONICS = {
    n - 7: name
    for n, name in enumerate(
        "Cb4 Gb4 Db4 Ab4 Eb4 Bb4 F4 C4 G4 D4 A4 E4 B4 F#4 C#4".split(), start=0
    )
}
#: Less than half a CSS pixel: what a draft in another key may be off.
UNITS = 10


def drafted(layouts: ScoreLayouts, tonic: str) -> Svg:
    return draw(write_mei(layouts.written({}), Pitch.parse(tonic), Show()), Options())


@pytest.mark.parametrize("fifths", TONICS)
@pytest.mark.parametrize("voice", ["soprano", "tenor", "bass"])
def test_signatures_are_as_wide_as_the_engraver_draws_them(
    fifths: int, voice: str, build: Any, chorus: Chorus
) -> None:
    layouts = ScoreLayouts(build.score([build.part(voice, build.scale(0, 1, 2, 3))]), chorus)
    drawn = drafted(layouts, TONICS[fifths]).lead - drafted(layouts, "C4").lead
    assert signature_width(fifths) == pytest.approx(drawn, abs=2)


def shared_and_own(score: Score, chorus: Chorus, first: str, other: str) -> tuple[Svg, Svg]:
    """The widths of a score in another key, as they follow from its first key and as drawn."""
    layouts = ScoreLayouts(score, chorus)
    documents = [
        write_mei(layouts.written({}), Pitch.parse(tonic), Show()) for tonic in (first, other)
    ]
    layouts.save_widths("form", documents[0], Pitch.parse(first), drafted(layouts, first))
    shared = layouts.widths_in_key("form", documents[1], Pitch.parse(other))
    assert shared is not None
    return shared, drafted(layouts, other)


@pytest.mark.parametrize("other", ["Db4", "E4", "Gb4", "A4"])
def test_other_keys_have_the_widths_of_the_first(other: str, build: Any, chorus: Chorus) -> None:
    """Whatever differs besides the signature: ledger lines, stems, beams."""
    words = ["la", "strengthened", "a-", "long"]
    line = [build.sung(n % 9 - 2, "1/2", words[n % 4]) for n in range(16)]
    score = build.score(build.together(list(chorus.voices), [*line, build.sung(0, 4, "la")]))
    shared, own = shared_and_own(score, chorus, "C4", other)
    assert shared.box[2] == pytest.approx(own.box[2], abs=UNITS)
    assert shared.lead == pytest.approx(own.lead, abs=UNITS)
    for ours, theirs in zip(shared.measures, own.measures, strict=True):
        assert ours[2] - ours[1] == pytest.approx(theirs[2] - theirs[1], abs=UNITS)


def test_room_before_a_word_after_a_long_vowel_stays_below_the_doubt(
    build: Any, chorus: Chorus
) -> None:
    """The engraver keeps the width of a long signature free a second time there. A draft that may
    be shown is therefore drawn in its own key when it is only about as wide as a page."""
    upper = [build.sung(0, 1, "mm___"), build.sung(4, 3), build.sung(0, 4), build.sung(0, 4)]
    again = [build.sung(0, 3), build.rest(1), build.sung(0, 4, "mm")]
    score = build.score(build.together(["soprano", "alto"], [*upper, *again]))
    shared, own = shared_and_own(score, chorus, "C4", "E4")
    assert UNITS < own.box[2] - shared.box[2] < WIDTH_ERROR


def test_accidentals_are_never_shared(build: Any, chorus: Chorus) -> None:
    """A flat is narrower than a sharp, and in other keys it may be a natural."""
    score = build.score([build.part("alto", [build.sung(0, 1), build.sung(3, 3, alter=1)])])
    asked: list[Options] = []

    def counting(mei: str, options: Options) -> Svg:
        asked.append(options)
        return draw(mei, options)

    layouts = ScoreLayouts(score, chorus)
    mei = write_mei(layouts.written({}), Pitch.parse("C4"), Show())
    layouts.save_widths("form", mei, Pitch.parse("C4"), draw(mei, Options()))
    assert layouts.widths_in_key("form", mei, Pitch.parse("D4")) is None
    KeyLayouts(layouts, Pitch.parse("D4"), counting)
    assert len(asked) == 1
