"""The load for other programs, and for a reader at a terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from chorus_handbook.voices.load import Load


def loads_as_json(loads: Mapping[str, Load]) -> list[dict[str, object]]:
    """A row a voice: how many keys it sings, and what it does in all of them."""
    return [
        {
            "voice": name,
            "keys": one.keys,
            "voiced_seconds": round(one.seconds, 3),
            "cycles": round(one.cycles),
        }
        for name, one in loads.items()
    ]


def loads_as_text(loads: Mapping[str, Load]) -> str:
    """A table for the terminal, with what its figures are not; empty where nobody sings."""
    if not loads:
        return ""
    rows: list[Sequence[str]] = [("voice", "keys", "voiced", "cycles")]
    for name, one in loads.items():
        minutes, seconds = divmod(round(one.seconds), 60)
        rows.append((name, str(one.keys), f"{minutes}:{seconds:02}", f"{one.cycles:,.0f}"))
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = [
        ("  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)))
        for row in rows
    ]
    lines.append("  Voiced minutes compare exercises; cycles of the vocal folds only within one")
    lines.append("  voice. Neither is a limit of what is safe.")
    return "\n".join(line.rstrip() for line in lines)
