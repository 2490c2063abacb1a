"""Puts into words why one exercise may take the place of another at a rehearsal (a swap). The texts
are in `browser/shared_facts.js`; the browser puts them together in the same way
(`browser/tonight_words.js`)."""

from __future__ import annotations

from collections.abc import Sequence

from chorus_handbook.catalogue import _, inside, listed, ngettext
from chorus_handbook.chorus.model import LEVEL_WORDS
from chorus_handbook.pages import words
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.warmups.running_order import SECOND
from chorus_handbook.warmups.swaps import Reason

_WORDS = FACTS["swaps"]["words"]


def reason_words(reason: Reason, goal: str, absent: Sequence[str] = ()) -> str:
    """One reason as a phrase, such as "shorter by 45 seconds".

    reason: what its number means depends on its code; `Reason` has the list.
    goal: the label of the main goal of the item that would be replaced.
    absent: the labels of the voices that are missing, for the reason "without": the exercise that
        would replace the item needs none of them.
    """
    code, number = reason
    if code == "rested":
        time = ngettext("{n} week", "{n} weeks", number)
    else:
        time = words.seconds(number / SECOND)
    return _(
        _WORDS[code],
        time=time,
        goal=inside(goal),
        impact=words.impact_in_table(number) if code == "gentler" else "",
        level=_(LEVEL_WORDS[number]) if code == "easier" else "",
        voices=listed(absent),
    )
