"""Makes the page of a warm-up or a routine.

The page says when and where it is and who leads it, which cautions apply, and what has changed
since the last warm-up; it shows the running order and how the effort builds up. Printed, it becomes
the one-page `cue_sheet`. It also contains the music stand (`stand`), a full-screen view to lead
from.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from markupsafe import Markup

from chorus_handbook.catalogue import _, listed, ngettext
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.pages import words
from chorus_handbook.pages.attendance import presence
from chorus_handbook.pages.build_up import build_up
from chorus_handbook.pages.cue_sheet import cue_sheet, leads_into, staves
from chorus_handbook.pages.dates import long_date, short_date, time_element
from chorus_handbook.pages.draft_link import begin_with, change
from chorus_handbook.pages.html import render
from chorus_handbook.pages.kept import keep_button
from chorus_handbook.pages.kinds import Shown
from chorus_handbook.pages.order_rows import OrderRow, order_rows, routine_minutes
from chorus_handbook.pages.page import (
    DRAFT,
    VOICE_CARE,
    Page,
    exercise_path,
    late_slot,
    link,
    routine_file,
)
from chorus_handbook.pages.season import learning
from chorus_handbook.pages.stand import stand
from chorus_handbook.pages.strip import strip
from chorus_handbook.pages.tonight import starting_late, tonight
from chorus_handbook.pages.voice_load import load_table
from chorus_handbook.pages.written import headings_of, whole_body, written_page
from chorus_handbook.records import Exercise
from chorus_handbook.records.planning_numbers import planning_numbers
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.checks.join_in import suits_latecomers
from chorus_handbook.warmups.history import History
from chorus_handbook.warmups.load import Loads, plan_load
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.play_through import passages
from chorus_handbook.warmups.running_order import MINUTE, SECOND, RunningOrder
from chorus_handbook.warmups.texts import WrittenPlan


def plan_page(text: WrittenPlan, shown: Shown) -> Page:
    """The page of a warm-up or a routine. If one of its exercises is missing or has errors, there
    is no running order, and the page shows only what the author wrote."""
    chorus, vocabulary = shown.config.chorus, shown.config.vocabulary
    assert chorus and vocabulary
    history = shown.read or History()
    order = running_order(text, shown.exercises, chorus, vocabulary, history.log)
    if order is None:
        return written_page(text)
    front = text.front
    dated = isinstance(front, WarmUpFields) and not history.log.young(front.day.toordinal())
    rows = order_rows(text, order, shown.exercises, chorus, vocabulary, with_status=dated)
    played = (
        [] if isinstance(front, WarmUpFields) else passages(text, order, shown.exercises, chorus)
    )
    about = _about(front, order, chorus, vocabulary)
    if played:
        sound = sum(item.sound for item in order.items) / SECOND
        # In whole minutes, rounded up: chords before the first notes are not in `sound`.
        through = words.seconds(60 * -(-(sum(one.silence for one in played) + sound) // 60))
        about.append(_("Played through by itself: about {time}.", time=through))
    joins = _join_in(front, rows)
    late = starting_late(text, front, rows, shown, history)
    content = render(
        "warm_up.html",
        title=text.title,
        about=about,
        dated=isinstance(front, WarmUpFields),
        cautions=_cautions(rows, vocabulary),
        rows=rows,
        joins=joins,
        starting_late=late,
        tonight=tonight(text, front, DRAFT) if isinstance(front, WarmUpFields) else "",
        build_up=build_up(order, rows),
        voice_load=load_table(_load(text, order, shown), chorus),
        changes=[
            *_changes(rows, history, shown.exercises),
            *learning(front, history, shown.exercises),
        ],
        at_home=[
            {"title": e.front.plain or e.front.title, "link": link(text.page, exercise_path(slug))}
            for slug in (front.at_home if isinstance(front, WarmUpFields) else [])
            if (e := shown.exercises.get(slug))
        ],
        body=whole_body(text),
        strip=strip(text.title, rows, _summary(front) if isinstance(front, WarmUpFields) else ""),
        sheet=cue_sheet(text, order, rows, joins, late[0] if late else "", chorus, vocabulary),
        stand=stand(text, rows, joins, played, chorus, vocabulary),
        keep=keep_button(
            text.title,
            _("Keep this warm-up on this device")
            if isinstance(front, WarmUpFields)
            else _("Keep this routine on this device"),
        ),
        track=link(text.page, routine_file(text.source.slug)) if shown.has_track else "",
        voice_care=link(text.page, VOICE_CARE),
        begin_with=begin_with(text),
        change=change(text) if isinstance(front, WarmUpFields) else "",
    )
    return Page(
        path=text.page,
        title=text.title,
        description=_summary(front),
        content=late_slot("sprite") + content,
        headings=headings_of(text.source.body.sections),
        make_late=lambda: staves(rows, shown.opening),
    )


def _load(text: WrittenPlan, order: RunningOrder, shown: Shown) -> Loads:
    """For how long each voice sings, is near its limits, and waits (`voice_load`)."""
    vocabulary, chorus = shown.config.vocabulary, shown.config.chorus
    assert vocabulary and chorus
    items = text.front.items
    stock = {
        item.exercise: planning_numbers(shown.exercises[item.exercise], vocabulary)
        for item in items
    }
    return plan_load(items, stock, order.items, chorus.voices)


def _summary(front: object) -> str:
    """The description of the page: the date and time of a warm-up, the summary of a routine."""
    if isinstance(front, WarmUpFields):
        return _("{date}, {time}", date=long_date(front.day), time=front.starts)
    return getattr(front, "summary", None) or ""


def _about(
    front: object, order: RunningOrder, chorus: Chorus, vocabulary: Vocabulary
) -> list[Markup | str]:
    """The lines at the top of the page: when it is, where and with whom, who comes late, what it
    leads into, how long it takes, and advice for its kind. A routine has only its summary and its
    time. Lines may be empty."""
    if not isinstance(front, WarmUpFields):
        minutes = words.seconds(60 * routine_minutes(order))
        takes = _("It takes {time}, with changes of place and pauses.", time=minutes)
        return [getattr(front, "summary", None) or "", takes]
    ends = clock.time_of_day(front.begins, round(front.minutes * MINUTE))
    when = _(
        "{date}, {begins} to {ends}",
        date=time_element(front.day, long_date(front.day)),
        begins=front.starts,
        ends=ends,
    )
    who = [
        front.room or "",
        _("led by {name}", name=front.leader) if front.leader else "",
        _("at the piano: {name}", name=front.pianist) if front.pianist else "",
    ]
    takes = _(
        "It takes {time} of {minutes}, with changes of place, pauses and a minute for seats.",
        time=words.seconds(clock.total(order.items) / SECOND),
        minutes=words.seconds(60 * front.minutes),
    )
    return [
        when,
        "\u00a0· ".join(filter(None, who)),
        "\u00a0· ".join(presence(front, chorus)),
        leads_into(front, vocabulary),
        takes,
        _kind(front),
    ]


def _kind(front: WarmUpFields) -> str:
    """Advice to the leader that applies to the kind of the whole warm-up and not to single
    items."""
    if front.kind == "seated":
        return _("Older singers begin two semitones lower: that key stands beside the first one.")
    if front.kind == "online":
        return _(
            "Online one voice sounds and the rest sing muted: after each phrase leave a gap of the "
            "same length for the echo."
        )
    return ""


def _cautions(rows: Sequence[OrderRow], vocabulary: Vocabulary) -> list[tuple[str, str]]:
    """Every caution once, in the vocabulary's order: its text, and in which items ("items 2 and
    4")."""
    found = []
    for name, caution in vocabulary.cautions.items():
        numbers = [str(row.number) for row in rows if name in row.cautions]
        if numbers:
            # Translators: {items} are numbers, such as "2 and 4".
            where = ngettext("item {items}", "items {items}", len(numbers), items=listed(numbers))
            found.append((caution.text, where))
    return found


def _join_in(front: object, rows: Sequence[OrderRow]) -> int:
    """The number of the item after which late singers join in; 0 if there is none. It is what the
    author states, or else the second or third item, if the item after it suits latecomers."""
    if not isinstance(front, WarmUpFields):
        return 0
    if front.join_in:
        return front.join_in
    for place in (2, 3):
        if place < len(rows) and suits_latecomers(rows[place].planned):
            return place
    return 0


def _changes(
    rows: Sequence[OrderRow],
    history: History,
    exercises: Mapping[str, Exercise],
) -> list[Markup | str]:
    """Sentences that say what differs from the last warm-up; none for the first."""
    last = history.last
    if last is None:
        return []
    day = date.fromisoformat(last.date)
    now = {row.item.exercise: row.title for row in rows}
    came = [title for slug, title in now.items() if slug not in last.exercises]
    gone = [
        exercises[slug].front.plain or exercises[slug].front.title
        for slug in last.exercises
        if slug not in now and slug in exercises
    ]
    sentences: list[Markup | str] = []
    when = time_element(day, short_date(day))
    if came:
        values = {"date": when, "items": listed(came)}
        sentences.append(
            _("Not planned on {date}: {items}.", **values)
            if last.planned
            else _("Not sung on {date}: {items}.", **values)
        )
    if gone:
        sentences.append(_("Left out since {date}: {items}.", date=when, items=listed(gone)))
    if not sentences:
        sentences.append(_("The same exercises as on {date}.", date=when))
    return sentences
