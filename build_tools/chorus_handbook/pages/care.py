"""Voice care: the page that every exercise's standing note leads to.

A chorus writes its own as voice-care.md. Until it has, this one stands in: the cautions of its
vocabulary, and the advice to ask a clinician.
"""

from __future__ import annotations

from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import VOICE_CARE, Page


def care_title() -> str:
    """What the stand-in page is called."""
    return _("Voice care")


def care_page(vocabulary: Vocabulary) -> Page:
    """The stand-in page."""
    cautions = [caution.text for caution in vocabulary.cautions.values()]
    return Page(
        path=VOICE_CARE,
        title=care_title(),
        description=_("The standing cautions."),
        content=render("page_head.html", title=care_title(), intro=[])
        + render("care.html", cautions=cautions),
    )
