"""How wide, how narrow, how small."""

from __future__ import annotations

from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import layouts
from chorus_handbook.engraving.compact import Svg
from chorus_handbook.engraving.engine import EngravingError, Options, draw
from chorus_handbook.engraving.layouts import (
    NARROW,
    THUMBNAIL,
    WIDE,
    Drawing,
    KeyLayouts,
    ScoreLayouts,
)
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.engraving.written import write
from chorus_handbook.music.score import Note, Score
from chorus_handbook.pitch import Pitch

WORDS = "Sail the boat a- long the shore and home we go a- gain my friends".split()


def laid_out(score: Score, chorus: Chorus, tonic: str = "C4") -> KeyLayouts:
    return KeyLayouts(ScoreLayouts(score, chorus), Pitch.parse(tonic), draw)


def lyric_pixels(drawing: Drawing) -> float:
    """The size of the lyrics on the screen."""
    return LYRIC_SIZE * drawing.width / drawing.svg.box[2]


def systems(drawing: Drawing) -> int:
    return len({system for system, _, _ in drawing.svg.measures})


@pytest.fixture(scope="module")
def long_score(build: Any) -> Score:
    """Fourteen bars with words: some three times as wide as a page."""
    events = [build.sung(n * 3 % 6, 1, WORDS[n % len(WORDS)]) for n in range(56)]
    return build.score([build.part("alto", events)])


def test_a_short_score_is_one_system_at_reading_size(build: Any, chorus: Chorus) -> None:
    score = build.score(build.together(list(chorus.voices), build.scale(*range(8))))
    drawing = laid_out(score, chorus).wide()
    assert systems(drawing) == 1
    assert drawing.width < WIDE.width
    assert 30 <= 720 * drawing.width / drawing.svg.box[2] <= 34  # the staff, in CSS pixels


def test_what_fits_a_phone_needs_no_narrow_drawing(build: Any, chorus: Chorus) -> None:
    score = build.score([build.part("alto", build.scale(0, 1, 2, 3))])
    assert laid_out(score, chorus).narrow() is None


def test_a_long_score_is_broken_for_page_and_phone(long_score: Score, chorus: Chorus) -> None:
    drawings = laid_out(long_score, chorus)
    wide, narrow = drawings.wide(), drawings.narrow()
    assert narrow is not None
    assert wide.width <= WIDE.width
    assert narrow.width <= NARROW.width
    assert 2 < systems(wide) < systems(narrow)
    assert lyric_pixels(narrow) >= 12
    widths = [right for _, _, right in narrow.svg.measures]
    assert max(widths) <= narrow.svg.box[2]


def test_systems_are_as_wide_as_one_another(long_score: Score, chorus: Chorus) -> None:
    drawing = laid_out(long_score, chorus).wide()
    ends = {system: right for system, _, right in drawing.svg.measures}
    *full, last = ends.values()
    assert max(full) - min(full) < 30
    assert last > 0.6 * max(full)


def test_a_bar_too_wide_for_a_phone_is_cut_at_a_beat(build: Any, chorus: Chorus) -> None:
    events = [build.sung(n % 8, "1/4", ["mi-", "ni", "ma-", "na"][n % 4]) for n in range(16)]
    drawing = laid_out(build.score([build.part("soprano", events)]), chorus).narrow()
    assert drawing is not None
    assert (len(drawing.svg.measures), systems(drawing)) == (2, 2)
    assert lyric_pixels(drawing) >= 12
    assert drawing.svg.body.count('id="soprano-') == 16


def test_a_beat_too_wide_for_a_phone_is_drawn_smaller(build: Any, chorus: Chorus) -> None:
    events = [build.sung(n % 8, "1/12", "breadth") for n in range(12)] + [build.sung(0, 3)]
    drawing = laid_out(build.score([build.part("soprano", events)]), chorus).narrow()
    assert drawing is not None
    assert drawing.width == NARROW.width


def test_free_meter_is_broken_too(build: Any, chorus: Chorus) -> None:
    events = [build.sung(n % 5, 1, "la") for n in range(40)]
    score = build.score([build.part("alto", events)], meter="free")
    drawings = laid_out(score, chorus)
    assert systems(drawings.wide()) > 1
    narrow = drawings.narrow()
    assert narrow is not None
    assert narrow.width <= NARROW.width
    assert lyric_pixels(narrow) >= 12


@pytest.mark.parametrize(
    ("bars", "pickup", "shown"),
    [
        ([[0], [1], [2]], 0, 2),  # two whole notes fit
        ([[0, 1, 2, 3] * 2] * 3, 0, 1),  # two bars of eighths do not
        ([[0, 1, 2, 3, 4, 5, 6, 7] * 2] * 2, 0, 1),
    ],
)
def test_a_thumbnail_shows_a_bar_or_two(
    bars: list[list[int]], pickup: int, shown: int, build: Any, chorus: Chorus
) -> None:
    events = [build.sung(n, f"4/{len(bar)}", "la") for bar in bars for n in bar]
    parts = build.together(["soprano", "bass"], events)
    drawing = laid_out(build.score(parts, pickup=pickup), chorus).thumbnail()
    assert len(drawing.svg.measures) == shown
    assert drawing.width <= THUMBNAIL.width
    assert "<text" not in drawing.svg.body
    assert " id=" not in drawing.svg.body


@pytest.mark.parametrize("silent", [0, 1, 3])
def test_a_thumbnail_shows_the_staff_and_the_bar_in_which_something_sounds(
    silent: int, build: Any, chorus: Chorus
) -> None:
    """As in a round, in which the top staff has rests at first, or after bars of silence."""
    rests = [build.rest(4) for _ in range(silent)]
    top = build.part("soprano", [*rests, build.rest(4), build.rest(4), build.sung(0, 4, "la")])
    low = build.part("bass", [*rests, *(build.sung(n, 4, "la") for n in range(3))])
    score = build.score([top, low])
    opening = write(score, chorus).opening(2)
    assert [staff.clef for staff in opening.staves] == ["bass"]
    assert [isinstance(placed.event, Note) for placed in opening.placed[0]] == [True, True]
    assert len(laid_out(score, chorus).thumbnail().svg.measures) == 2


def test_a_thumbnail_never_stops_at_the_upbeat(build: Any, chorus: Chorus) -> None:
    events = build.scale(4, *range(8), *range(8), length="1/2")
    score = build.score([build.part("alto", events)], pickup="1/2")
    drawing = laid_out(score, chorus).thumbnail()
    assert len(drawing.svg.measures) == 2
    assert drawing.width <= THUMBNAIL.width


def test_too_many_notes_are_refused_at_once(build: Any, chorus: Chorus) -> None:
    events = build.scale(*([0] * 12_000), length="1/4")
    score = build.score([build.part("alto", events)])
    with pytest.raises(EngravingError, match="12000 notes"):
        laid_out(score, chorus)


def test_the_engraver_is_asked_as_seldom_as_can_be(
    build: Any, chorus: Chorus, long_score: Score
) -> None:
    asked: list[Options] = []

    def counting(mei: str, options: Options) -> Svg:
        asked.append(options)
        return draw(mei, options)

    for score, most in (
        (build.score([build.part("alto", build.scale(0, 1, 2, 3))]), 2),  # itself, its thumbnail
        (long_score, 5),  # its systems twice, and two tries at a thumbnail
    ):
        asked.clear()
        drawings = KeyLayouts(ScoreLayouts(score, chorus), Pitch.parse("C4"), counting)
        drawings.wide(), drawings.narrow(), drawings.thumbnail()
        assert len(asked) <= most, asked


def test_papers_are_what_the_pages_have_room_for() -> None:
    """680 CSS pixels of text; a phone of 390 with margins of 16 (the look of the site)."""
    assert (WIDE.width, NARROW.width) == (680, 390 - 2 * 16)
    assert layouts.NARROW.suffix == ".n"
