"""The page about voice care, to which a note on every exercise links.

A chorus writes its own in voice-care.md. Until then this page is used: it lists the cautions of the
vocabulary and advises readers to ask a clinician.
"""

from __future__ import annotations

from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import VOICE_CARE, Page


def care_title() -> str:
    """The title of the page on voice care."""
    return _("Voice care")


def care_page(vocabulary: Vocabulary) -> Page:
    """The page on voice care for a chorus that has not written its own."""
    cautions = [caution.text for caution in vocabulary.cautions.values()]
    return Page(
        path=VOICE_CARE,
        title=care_title(),
        description=_("The standing cautions."),
        content=render("page_head.html", title=care_title(), intro=[])
        + render("care.html", cautions=cautions),
    )
