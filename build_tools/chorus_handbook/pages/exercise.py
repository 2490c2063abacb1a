"""The page of one exercise, in the order in which a director needs things.

From the top: cautions; title, summary and a line of facts; what to say; the player, the score and
the starting notes; how to run it and the author's other sections (always in the order of
`SECTIONS`); what the exercise is good for, goals and other names. Details are folded under their
headings: voices and keys, variations, related exercises, warm-ups. A note about voice care ends the
page.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from html import unescape

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _, inside, joined, listed
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.engraving.engraved import NOTES_IN_WORDS, Engraved
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.rendered import Heading, Section
from chorus_handbook.entries.steps import RUN, is_heading, read_seconds
from chorus_handbook.music.facts import Facts
from chorus_handbook.pages import number_words, words
from chorus_handbook.pages.at_home import practised_for
from chorus_handbook.pages.chords import chord_bars, symbols_for_browser
from chorus_handbook.pages.diagrams import diagram
from chorus_handbook.pages.figure import in_words, key_chooser, score_figure
from chorus_handbook.pages.html import render
from chorus_handbook.pages.kept import keep_button
from chorus_handbook.pages.kin import Kin
from chorus_handbook.pages.ladder import ladder_chart, leaving
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.pages.page import VOICE_CARE, Page, exercise_path, link, shown_on
from chorus_handbook.pages.player import mixer, player, track_links
from chorus_handbook.pages.starts import starts
from chorus_handbook.pages.sung import uses_in_words
from chorus_handbook.pages.written import headings_of, sections_html
from chorus_handbook.records import Exercise
from chorus_handbook.records.published import ladder_for_browser
from chorus_handbook.warmups.at_home import Evening
from chorus_handbook.warmups.history import Uses
from chorus_handbook.warmups.rotation import Log

SAY = N_("Say")
FIT = N_("Make it fit")  # left out when the page is printed
#: The author's sections in the order of the page; others follow in the order of the file.
SECTIONS = ("", SAY, RUN, N_("Listen for"), N_("What goes wrong"), FIT)
#: A step with a time in parentheses (group 2) at its beginning, in HTML as the sanitiser writes it.
_STEP_TIME = re.compile(r"(<li>\s*(?:<p>)?)\(([^()<]{1,40})\)")
#: Sections that are not needed while leading an exercise: they come last, folded.
FOLDED = (N_("Variations"),)


def exercise_page(
    exercise: Exercise,
    stock: Mapping[str, Exercise],
    kin: Kin,
    config: ChorusConfig,
    drawings: Callable[[Exercise], Sequence[Engraved]],
    tracks: Sequence[str],
    uses: Uses,
    log: Log,
    evenings: Sequence[Evening] = (),
) -> Page:
    """The page of one exercise.

    stock: all exercises, keyed by slug, for links.
    kin: the relations between exercises.
    drawings: returns the drawings of an exercise, one for each key.
    tracks: the names of the voices that have a practice track.
    uses: the warm-ups and routines that contain the exercise.
    log: the days on which each exercise was sung.
    evenings: the warm-ups for which it is to be practised at home.
    """
    entry, facts = exercise.entry, exercise.facts
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    body = entry.source.body
    above, to_say, below, folded = _in_reading_order(body.sections)
    path = exercise_path(exercise.slug)
    standing = _standing(exercise, vocabulary)
    if below and is_heading(below[0].heading, RUN):  # show the formation beside the steps
        below[0] = replace(below[0], html=standing + _with_times(below[0].html))
        standing = Markup()
    headings = [_known(section.heading) for section in below]
    # What the exercise is good for comes late, unless the page has no steps ("How to run it").
    why, above = (above, []) if RUN in headings else ([], above)
    fit_begins = headings.index(FIT) if FIT in headings else len(headings)
    fit_ends = fit_begins + headings.count(FIT)
    voices = _voices_title(facts) if facts else ""
    groups = kin.of(exercise.slug)
    used = uses.warm_ups or uses.routines
    content = render(
        "exercise.html",
        slug=exercise.slug,
        head=_head(exercise, chorus, vocabulary),
        practised_for=practised_for(path, evenings),
        above=above,
        said=to_say,
        score=render("exercise_score.html") if facts else "",
        below=standing + sections_html(below[:fit_begins]),
        fit=sections_html(below[fit_begins:fit_ends]),
        further=sections_html(below[fit_ends:]),
        why=why,
        voices=_voices_section(exercise, facts, chorus) if facts else "",
        folded=render("exercise_folded.html", sections=folded),
        kin=_kin_section(path, groups, stock) if groups else "",
        goals=_goals(exercise, vocabulary),
        cue=entry.front.cue,
        also_called=entry.front.also_called,
        origin=entry.front.origin,
        keep=keep_button(entry.front.full_title, _("Keep this exercise on this device")),
        licence=entry.front.licence or (None if entry.front.origin else chorus.licence),
        sung=uses_in_words(path, uses, log),
        footnotes=body.footnotes,
        voice_care=link(path, VOICE_CARE),
    )
    return Page(
        path=path,
        title=entry.front.full_title,
        description=entry.front.summary,
        content=shown_on(path, content),
        headings=(
            *headings_of([*above, *(replace(section, head=None) for section in to_say), *below]),
            *([Heading(2, "hb-voices", voices)] if voices else []),
            *headings_of(folded),
            *([Heading(2, "hb-kin", _("Goes with"))] if groups else []),
            *([Heading(2, "hb-warm-ups", _("In warm-ups"))] if used else []),
        ),
        make_late=lambda: _late(exercise, chorus, drawings(exercise), tracks),
    )


def _late(
    exercise: Exercise, chorus: Chorus, drawn: Sequence[Engraved], tracks: Sequence[str]
) -> dict[str, Markup]:
    """The HTML for the late slots of the page: scores and charts, which search must not index."""
    facts, path = exercise.facts, exercise_path(exercise.slug)
    if facts is None:
        return {}
    late = {"ladder": ladder_chart(exercise.ladder, chorus)}
    late["way"] = _way(exercise, facts, chorus, told=bool(drawn and drawn[0].words))
    late["chords"] = chord_bars(exercise.chords, facts)
    if drawn:
        begins = starts(exercise.ladder, chorus, facts.mode)
        late["score"] = score_figure(drawn, begins)
        late["notes"] = in_words(drawn[0])
        keys = key_chooser(drawn)
        late["player"] = player(path, facts, chorus, keys, exercise.front.passes)
        symbols = symbols_for_browser(
            exercise.chords, facts, in_round=exercise.front.round is not None
        )
        late["mixer"] = mixer(path, facts, chorus, symbols)
        late["tracks"] = track_links(path, exercise.slug, tracks, chorus)
    if exercise.ladder:
        late["own-range"] = own_range(path, chorus, ladder_for_browser(exercise))
    return late


def _in_reading_order(sections: Sequence[Section]) -> tuple[list[Section], ...]:
    """The sections in four groups, in the order of the page: those without a heading, above the
    score; the text to say; those with headings, below the score; those folded at the end."""
    known = {heading: place for place, heading in enumerate(SECTIONS)}
    ordered = sorted(sections, key=lambda s: known.get(_known(s.heading), len(known)))
    above = [section for section in ordered if section.head is None]
    to_say = [section for section in ordered if _known(section.heading) == SAY]
    folded = [section for section in ordered if _known(section.heading) in FOLDED]
    below = [section for section in ordered if section not in [*above, *to_say, *folded]]
    return above, to_say, below, folded


def _known(heading: str) -> str:
    """The English heading of a section that is among `SECTIONS` or `FOLDED`, whether its author
    wrote it in English or in the handbook's language. Any other heading stays as it is written."""
    named = (known for known in (*SECTIONS, *FOLDED) if is_heading(heading, known))
    return next(named, heading)


def _with_times(html: Markup) -> Markup:
    """The steps with their times marked, for `browser/steps.js` to count down."""

    def marked(found: re.Match[str]) -> str:
        seconds = read_seconds(unescape(found[2]))
        if seconds is None:
            return found[0]
        return (
            f'{found[1]}<span class="hb-step-time" data-seconds="{seconds:g}">({found[2]})</span>'
        )

    return Markup(_STEP_TIME.sub(marked, html))


def _head(exercise: Exercise, chorus: Chorus, vocabulary: Vocabulary) -> Markup:
    front = exercise.front
    return render(
        "exercise_head.html",
        title=front.title,
        plain=front.plain,
        summary=front.summary,
        cautions=[vocabulary.cautions[c].text for c in cautions_for(front, vocabulary)],
        facts=words.facts_line(front, exercise.facts, chorus),
    )


def _goals(exercise: Exercise, vocabulary: Vocabulary) -> Markup | str:
    """Links to the goals, as they are written in a sentence."""
    path = exercise_path(exercise.slug)
    return joined(
        Markup('<a href="{}">{}</a>').format(
            link(path, f"goals/{g}.md"), inside(vocabulary.goals[g].label)
        )
        for g in exercise.front.goals
        if g in vocabulary.goals
    )


def _standing(exercise: Exercise, vocabulary: Vocabulary) -> Markup:
    """The picture of the formation; empty when the exercise does not state one."""
    formation = vocabulary.formations.get(exercise.front.formation or "")
    if formation is None:
        return Markup()
    return Markup('<figure class="hb-standing">{}<figcaption>{}</figcaption></figure>').format(
        diagram(formation.diagram), formation.label
    )


def _way(exercise: Exercise, facts: Facts, chorus: Chorus, *, told: bool) -> Markup:
    """The lines under the score: the keys, the tempo, which voices stop before the last key, and a
    link to the notes, if they are `told` in words."""
    front = exercise.front
    assert front.key_path  # facts are measured only where keys are stated
    return render(
        "exercise_way.html",
        keys="" if _spoken_only(facts) else words.keys(front.key_path, facts.keys),
        tempo=words.pace(facts, front.passes),
        sentences=[words.round_words(front, chorus), *leaving(exercise.ladder, chorus)],
        notes=NOTES_IN_WORDS if told else "",
    )


def _spoken_only(facts: Facts) -> bool:
    """Whether no voice sings a note with a pitch."""
    return not any(voice.first for voice in facts.voices)


def _voices_title(facts: Facts) -> str:
    return _("Voices") if _spoken_only(facts) else _("Voices and keys")


def _voices_section(exercise: Exercise, facts: Facts, chorus: Chorus) -> Markup:
    step_out = exercise.front.step_out
    return render(
        "exercise_voices.html",
        title=_voices_title(facts),
        step_out=_(words.STEP_OUT_WORDS[step_out]) if step_out != "no" else "",
        rows=[] if _spoken_only(facts) else _voice_rows(facts, chorus),
        voiced=words.voiced(
            {chorus.voices[name].label: one.seconds for name, one in exercise.loads.items()}
        ),
        sung_on=words.sung_on(facts.phrases),
    )


def _voice_rows(facts: Facts, chorus: Chorus) -> list[dict[str, str | None]]:
    """One row for each voice; voices that sing the same notes in the same octave share one."""
    rows: dict[tuple[object, ...], list[str]] = {}
    cells: dict[tuple[object, ...], dict[str, str | None]] = {}
    for voice in facts.voices:
        cell = {
            "begins": words.note(voice.first) if voice.first else None,
            "lowest": words.note(voice.lowest) if voice.lowest else None,
            "highest": words.note(voice.highest) if voice.highest else None,
            "span": number_words.span(voice.ambitus_semitones),
        }
        key = (voice.line, *cell.values())
        rows.setdefault(key, []).append(chorus.label_of(voice.voice))
        cells[key] = cell
    return [{"voice": listed(labels), **cells[key]} for key, labels in rows.items()]


def _kin_section(
    path: str, groups: Sequence[tuple[str, Sequence[str]]], stock: Mapping[str, Exercise]
) -> Markup:
    return render(
        "exercise_kin.html",
        title=_("Goes with"),
        groups=[
            {
                "label": label,
                "exercises": [
                    {
                        "title": stock[slug].front.title,
                        "what": stock[slug].front.plain or stock[slug].front.summary,
                        "link": link(path, exercise_path(slug)),
                    }
                    for slug in slugs
                ],
            }
            for label, slugs in groups
        ],
    )
