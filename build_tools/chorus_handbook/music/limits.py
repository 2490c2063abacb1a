"""Limits on the size of notation, the same for all kinds of notation. Exercises are short; what
exceeds a limit is reported. The figures are our choice."""

from __future__ import annotations

#: The most bars of a score, with its repeats written out.
MOST_BARS = 200
#: The most notes of all voices of a score together, with its repeats written out.
MOST_NOTES = 20_000
#: The most lines of music that sound together.
MOST_LINES = 32
#: The most notes and other signs that a text of notation may have.
MOST_TOKENS = 4000
#: The largest upper number of a meter.
MOST_BEATS = 32
#: The possible lower numbers of a meter: 4 stands for quarters, 8 for eighths.
UNITS = (1, 2, 4, 8, 16, 32)
