"""Makes the page on which a reader puts a warm-up together (`browser/draft_page.js`).

The page itself has no data of exercises; it loads them from planning.json. So it need not be made
again when an exercise changes.
"""

from __future__ import annotations

from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import FAMILY_WORDS, IMPACT_WORDS, Chorus, Vocabulary
from chorus_handbook.pages import words
from chorus_handbook.pages.cue_sheet import always_below
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import DRAFT, HOME, Page, link
from chorus_handbook.pages.planning_file import PLANNING_FILE
from chorus_handbook.pages.stand import empty_stand
from chorus_handbook.pages.tonight import tonight_in_draft
from chorus_handbook.warmups.findings import RULES


def draft_page(title: str, chorus: Chorus, vocabulary: Vocabulary, earlier: str) -> Page:
    """The page on which a reader puts a warm-up together. `earlier` is the path of the list of
    warm-ups, or else of routines, whose plans a reader can begin with; empty if the handbook has
    neither."""
    return Page(
        path=DRAFT,
        title=title,
        description=_("A warm-up made of the exercises of this handbook."),
        content=render(
            "draft.html",
            title=title,
            handbook=link(DRAFT, HOME),
            planning=link(DRAFT, PLANNING_FILE),
            earlier=link(DRAFT, earlier) if earlier else "",
            impacts=["", *(words.impact_in_table(value) for value in sorted(IMPACT_WORDS))],
            build_up=render("build_up.html", chart="", rows=[], total=""),
            kinds=[(name, _(word)) for name, word in RULES["kinds"].items()],
            voices=[(name, voice.label) for name, voice in chorus.voices.items()],
            goals=[(name, goal.label) for name, goal in vocabulary.goals.items()],
            formations=[(name, one.label) for name, one in vocabulary.formations.items()],
            stand=empty_stand(DRAFT, chorus),
            sheet=render("cue_sheet.html", title="", head=[], rows=[], foot=always_below()),
            strip=render("strip.html", when="", title="", rows=[]),
            tonight=tonight_in_draft(DRAFT),
            families=[(name, _(word)) for name, word in FAMILY_WORDS.items()],
        ),
    )
