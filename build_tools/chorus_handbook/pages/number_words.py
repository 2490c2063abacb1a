"""Puts plain numbers into words for pages: counts, amounts with fractions, intervals by size.

It needs nothing of music or exercises, so that pages which only count can be planned quickly.
"""

from __future__ import annotations

from collections.abc import Sequence

from chorus_handbook.catalogue import N_, _, decimal, ngettext
from chorus_handbook.shared_facts import FACTS

_NUMBERS = (
    *("", N_("one"), N_("two"), N_("three"), N_("four"), N_("five"), N_("six")),
    *(N_("seven"), N_("eight"), N_("nine"), N_("ten"), N_("eleven"), N_("twelve")),
)
#: Ranges of 0 to 24 semitones.
_SPANS: Sequence[str] = FACTS["spans"]
_QUARTERS = {0.0: "", 0.25: "¼", 0.5: "½", 0.75: "¾"}


def number(count: int) -> str:
    """A count in words from "one" to "twelve", any other count in digits."""
    return _(_NUMBERS[count]) if 0 < count < len(_NUMBERS) else str(count)


def amount(value: float) -> str:
    """A number, with quarters as fractions: "1½", "¾", "2.6"."""
    whole, rest = divmod(value, 1)
    if rest not in _QUARTERS:
        return decimal(value)
    return (f"{whole:.0f}" if whole or not rest else "") + _QUARTERS[rest]


def span(semitones: int) -> str:
    """A range in words: "a fifth", "an octave", "one note"."""
    if semitones < len(_SPANS):
        return _(_SPANS[semitones])
    octaves, rest = divmod(semitones, 12)
    if not rest:
        return ngettext("{number} octave", "{number} octaves", octaves, number=number(octaves))
    return ngettext(
        "{number} octave and {interval}",
        "{number} octaves and {interval}",
        octaves,
        number=number(octaves),
        interval=_(_SPANS[rest]),
    )
