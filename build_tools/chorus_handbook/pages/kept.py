"""Lets readers keep pages on their device, to open them without a signal: the page that lists what
is kept, and the button on warm-ups, lists and exercises that keeps it. `browser/kept_files.js`
stores the files, and `browser/offline_worker.js` answers requests from them."""

from __future__ import annotations

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import KEPT, Page

KEPT_TITLE = N_("Kept on this device")
KEPT_ABOUT = N_("What opens offline, without a signal, on this device.")


def kept_page() -> Page:
    """The page that lists what is kept on the device. Only its fixed words are made here; the
    browser adds the list."""
    return Page(
        path=KEPT,
        title=_(KEPT_TITLE),
        description=_(KEPT_ABOUT),
        content=render("kept.html", title=_(KEPT_TITLE)),
    )


def keep_button(title: str, label: str) -> Markup:
    """An empty element that the browser makes into a button. The button keeps the page, whose title
    is `title`, on the device, and with it the exercises that it links to (unless it is the page of
    an exercise). `label` is the text of the button."""
    return Markup('<div class="hb-keep" data-title="{}" data-label="{}"></div>').format(
        title, label
    )
