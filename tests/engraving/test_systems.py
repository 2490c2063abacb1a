"""Where systems are broken."""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.engraving.systems import Margins, MeasureWidth, breaks, widest

MARGINS = Margins(80, 50)


def test_what_fits_is_not_broken() -> None:
    assert breaks([MeasureWidth(100)] * 3, MARGINS, 380) == []


def test_systems_come_out_about_equally_wide() -> None:
    assert breaks([MeasureWidth(100)] * 5, MARGINS, 480) == [2]  # not four bars and one left over
    assert breaks([MeasureWidth(100)] * 8, MARGINS, 480) == [4]


def test_a_measure_wider_than_the_page_cannot_be_placed() -> None:
    assert breaks([MeasureWidth(100), MeasureWidth(400)], MARGINS, 300) is None


def test_a_break_rather_falls_between_blocks_than_inside_a_bar() -> None:
    bars = [MeasureWidth(100), MeasureWidth(100, opens=True), MeasureWidth(100), MeasureWidth(100)]
    assert breaks(bars, Margins(50, 50), 360) == [1]
    piece = MeasureWidth(100)
    pieces = [piece, piece, MeasureWidth(100, continues=True), piece]
    assert breaks(pieces, Margins(50, 50), 360) in ([1], [3])


@given(
    st.lists(st.floats(10, 200), min_size=1, max_size=30),
    st.floats(0, 100),
    st.floats(0, 100),
    st.floats(320, 900),
)
def test_no_system_is_wider_than_the_page_and_none_could_be_spared(
    widths: list[float], first: float, later: float, page: float
) -> None:
    measures, margins = [MeasureWidth(w) for w in widths], Margins(first, later)
    starts = breaks(measures, margins, page)
    assert starts is not None
    assert starts == sorted(set(starts))
    assert widest(measures, margins, starts) <= page * (1 + 1e-9)
    systems, free = 1, page - first  # filling every system as full as it gets takes the fewest
    for width in widths:
        if width > free + 1e-9:
            systems, free = systems + 1, page - later
        free -= width
    assert len(starts) + 1 == systems


def test_long_scores_are_broken_quickly(work: Callable[[Callable[[], object]], int]) -> None:
    def broken() -> None:
        assert breaks([MeasureWidth(100)] * 400, MARGINS, 190) == list(range(1, 400))

    assert work(broken) < 8_000_000
