"""What is kept on the reader's device: the page that says so, and the button on warm-ups, lists and
exercises.
`browser/kept_files.js` keeps the files, and `browser/offline_worker.js` answers from them."""

from __future__ import annotations

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import KEPT, Page

KEPT_TITLE = N_("Kept on this device")


def kept_page() -> Page:
    """The page that says what is kept. It is made in the browser, all but its words."""
    return Page(
        path=KEPT,
        title=_(KEPT_TITLE),
        description=_("What opens without a signal on this device."),
        content=render("kept.html", title=_(KEPT_TITLE)),
    )


def keep_button(title: str, label: str) -> Markup:
    """The button that keeps a page with this title and, unless it is that of an exercise, the
    exercises that it links to. `label` is what it says."""
    return Markup('<div class="hb-keep" data-title="{}" data-label="{}"></div>').format(
        title, label
    )
