"""The form in which a reader enters their own range, to see what they can sing.
`browser/own_range.js` makes it work."""

from __future__ import annotations

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages.html import render
from chorus_handbook.pages.index_file import page_data
from chorus_handbook.pages.page import FOLDER, link
from chorus_handbook.voices.ladder_data import LadderData

#: The form offers notes up to this many semitones beyond the limits of the chorus's voices.
_BEYOND = 12


def own_range(
    page_path: str,
    chorus: Chorus,
    ladder: LadderData | None = None,
    *,
    limits_lists: bool = False,
) -> Markup:
    """The form in which a reader sets a vocal range of their own, as HTML; it is hidden until a
    script makes it work. On the page of an exercise it contains the data of the `ladder`; elsewhere
    the script loads index.json once a range is set. `limits_lists`: the form can limit the lists on
    the page to what fits the range."""
    limits = [voice.limits for voice in chorus.voices.values()]
    return render(
        "own_range.html",
        index=link(page_path, f"{FOLDER}/index.json"),
        voices=[(name, voice.label) for name, voice in chorus.voices.items()],
        lowest=max(min(limit.low for limit in limits) - _BEYOND, 0),
        highest=min(max(limit.high for limit in limits) + _BEYOND, 127),
        limits_lists=limits_lists,
        data=page_data(ladder, chorus) if ladder else "",
    )
