"""The form in which a singer sets a range of her own; `browser/own_range.js` makes it work."""

from __future__ import annotations

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages.html import render
from chorus_handbook.pages.index_file import LadderData, page_data
from chorus_handbook.pages.page import FOLDER, link

#: Singers reach at most so far beyond the chorus's own limits, in semitones.
_BEYOND = 12


def own_range(page_path: str, chorus: Chorus, ladder: LadderData | None = None) -> Markup:
    """The form, hidden until a script makes it work. A page with a ladder carries its data; a
    page with lists asks index.json, and only once a range is set."""
    limits = [voice.limits for voice in chorus.voices.values()]
    return render(
        "own_range.html",
        index=link(page_path, f"{FOLDER}/index.json"),
        voices=[(name, voice.label) for name, voice in chorus.voices.items()],
        lowest=max(min(limit.low for limit in limits) - _BEYOND, 0),
        highest=min(max(limit.high for limit in limits) + _BEYOND, 127),
        limits_lists=ladder is None,
        data=page_data(ladder, chorus) if ladder else "",
    )
