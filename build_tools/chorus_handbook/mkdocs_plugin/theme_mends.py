"""What the theme leaves wrong in its pages, mended in its output.

Each mend says what it is for; a browser test fails without it, and one that the theme no longer
needs changes nothing.
"""

from __future__ import annotations

#: (what the theme writes, what it should have written)
_MENDS = (
    # The search dialog has no name for screen readers (axe: aria-dialog-name).
    ('role="dialog">', 'role="dialog" aria-label="Search">'),
)


def mend(output: str) -> str:
    """A finished page with the theme's faults mended."""
    for wrong, right in _MENDS:
        output = output.replace(wrong, right)
    return output
