"""Limits on the size of notation. Exercises are short; what exceeds a limit is reported."""

from __future__ import annotations

#: Bars of the whole score with repeats, and notes of all voices together with repeats.
MOST_BARS = 200
MOST_NOTES = 20_000
#: Lines that sound together, and notes and signs of a whole text.
MOST_LINES = 32
MOST_TOKENS = 4000
#: Meters; units are note values as fractions of a whole note.
MOST_BEATS = 32
UNITS = (1, 2, 4, 8, 16, 32)
