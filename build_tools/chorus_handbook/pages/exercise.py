"""The page of one exercise, in the order a director reads it.

Title and summary; what can stop someone; the facts in words; the two sentences to say; the score
with keys and pitches; then the author's sections in one order for every page, whatever their
order in the file; what it goes with; the standing note.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from markupsafe import Markup

from chorus_handbook.catalogue import _, inside, joined, listed
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.engraving import Engraved
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.model import EXERCISE, Section
from chorus_handbook.music.facts import Facts
from chorus_handbook.pages import words
from chorus_handbook.pages.care import VOICE_CARE
from chorus_handbook.pages.diagrams import diagram
from chorus_handbook.pages.figure import score_figure
from chorus_handbook.pages.html import render
from chorus_handbook.pages.index_file import LadderData
from chorus_handbook.pages.ladder import ladder_chart
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.pages.page import Page, late_slot, link, shown_on
from chorus_handbook.pages.player import player, track_links
from chorus_handbook.pages.starts import starts
from chorus_handbook.pages.written import headings_of, sections_html
from chorus_handbook.records import Exercise
from chorus_handbook.voices.ladder_data import ladder_as_data

SAY = "Say"
#: The author's sections in reading order; any other heading follows in the order of the file.
SECTIONS = (
    "",
    SAY,
    "How to run it",
    "Listen for",
    "What goes wrong",
    "Make it fit",
    "Variations",
)


def page_path(slug: str) -> str:
    """Where the page of an exercise stands."""
    return EXERCISE.page(slug)


def exercise_page(
    exercise: Exercise,
    stock: Mapping[str, Exercise],
    config: ChorusConfig,
    drawings: Callable[[Exercise], Sequence[Engraved]],
    tracks: Sequence[str],
) -> Page:
    """The page of one exercise. `stock` is every exercise by slug, for the links; `drawings` gives
    an exercise's, one a key; `tracks` are the voices for which the site offers practice tracks."""
    entry, facts = exercise.entry, exercise.facts
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    body = entry.source.body
    above, said, below = _in_reading_order(body.sections)
    path = page_path(exercise.slug)
    content = render(
        "exercise.html",
        head=_head(exercise, chorus, vocabulary),
        above=above,
        said=said,
        score=_score(exercise, facts, chorus) if facts else "",
        below=sections_html(below),
        footnotes=body.footnotes,
        end=_end(exercise, stock, vocabulary),
    )
    return Page(
        path=path,
        title=entry.front.full_title,
        description=entry.front.summary,
        content=shown_on(path, content),
        headings=headings_of([*above, *said, *below]),
        make_late=lambda: _late(exercise, chorus, drawings(exercise), tracks),
    )


def _late(
    exercise: Exercise, chorus: Chorus, drawn: Sequence[Engraved], tracks: Sequence[str]
) -> dict[str, Markup]:
    """What search shall not read: it would find every syllable, and a cell for every voice in every
    key."""
    facts, path = exercise.facts, page_path(exercise.slug)
    if facts is None:
        return {}
    late = {"ladder": ladder_chart(exercise.ladder, chorus)}
    if drawn:
        begins = starts(exercise.ladder, chorus, facts.mode)
        late["score"] = score_figure(drawn, begins)
        late["player"] = player(path, facts, chorus) + track_links(
            path, exercise.slug, tracks, chorus
        )
    if exercise.ladder:
        late["own-range"] = own_range(path, chorus, ladder_for_browser(exercise))
    return late


def ladder_for_browser(exercise: Exercise) -> LadderData | None:
    """The ladder of an exercise as the browser's rule reads it."""
    octave = exercise.front.step_out == "octave"
    return ladder_as_data(exercise.ladder, may_change_octave=octave)


def _in_reading_order(sections: Sequence[Section]) -> tuple[list[Section], ...]:
    """What stands above the score without a heading, what is said aloud, which needs none either,
    and what stands below under its headings."""
    known = {heading.lower(): place for place, heading in enumerate(SECTIONS)}
    ordered = sorted(sections, key=lambda s: known.get(s.heading.lower(), len(known)))
    above = [section for section in ordered if section.head is None]
    said = [section for section in ordered if section.heading.lower() == SAY.lower()]
    below = [section for section in ordered if section not in [*above, *said]]
    return above, [replace(section, head=None) for section in said], below


def _head(exercise: Exercise, chorus: Chorus, vocabulary: Vocabulary) -> Markup:
    front, path = exercise.front, page_path(exercise.slug)
    return render(
        "exercise_head.html",
        title=front.title,
        plain=front.plain,
        summary=front.summary,
        cautions=[vocabulary.cautions[c].text for c in cautions_for(front, vocabulary)],
        facts=words.facts_line(front, exercise.facts, chorus, vocabulary),
        goals=joined(
            Markup('<a href="{}">{}</a>').format(
                link(path, f"goals/{g}.md"), inside(vocabulary.goals[g].label)
            )
            for g in front.goals
            if g in vocabulary.goals
        ),
        cue=front.cue,
        also_called=front.also_called,
    )


def _score(exercise: Exercise, facts: Facts, chorus: Chorus) -> Markup:
    front = exercise.front
    assert front.key_path  # facts are measured only where keys are stated
    spoken_only = not any(voice.first for voice in facts.voices)
    return render(
        "exercise_score.html",
        first_key=words.key(facts.keys[0], facts.mode),
        keys=words.keys(front.key_path, facts.keys),
        tempo=words.pace(facts, front.passes),
        step_out=_(words.STEP_OUT_WORDS[front.step_out]) if front.step_out != "no" else "",
        rows=[] if spoken_only else _voice_rows(facts, chorus),
        ladder=late_slot("ladder"),
        voiced=words.voiced(
            {chorus.voices[name].label: one.seconds for name, one in exercise.loads.items()}
        ),
        round=words.round_words(front, chorus),
        sung_on=words.sung_on(facts.phrases),
    )


def _voice_rows(facts: Facts, chorus: Chorus) -> list[dict[str, str | None]]:
    """A row a voice; voices that sing the same notes in the same octave share one."""
    rows: dict[tuple[object, ...], list[str]] = {}
    cells: dict[tuple[object, ...], dict[str, str | None]] = {}
    for voice in facts.voices:
        cell = {
            "begins": words.note(voice.first) if voice.first else None,
            "lowest": words.note(voice.lowest) if voice.lowest else None,
            "highest": words.note(voice.highest) if voice.highest else None,
            "span": words.span(voice.ambitus_semitones),
        }
        key = (voice.line, *cell.values())
        rows.setdefault(key, []).append(chorus.label_of(voice.voice))
        cells[key] = cell
    return [{"voice": listed(labels), **cells[key]} for key, labels in rows.items()]


def _end(exercise: Exercise, stock: Mapping[str, Exercise], vocabulary: Vocabulary) -> Markup:
    front, path = exercise.front, page_path(exercise.slug)
    formation = vocabulary.formations.get(front.formation or "")
    return render(
        "exercise_end.html",
        standing=formation and {"label": formation.label, "diagram": diagram(formation.diagram)},
        kin=[
            {
                "label": label,
                "exercises": [
                    {
                        "title": stock[slug].front.title,
                        "summary": stock[slug].front.summary,
                        "link": link(path, page_path(slug)),
                    }
                    for slug in slugs
                ],
            }
            for label, slugs in kin(exercise.slug, stock)
        ],
        voice_care=link(path, VOICE_CARE),
    )


def kin(slug: str, stock: Mapping[str, Exercise]) -> list[tuple[str, list[str]]]:
    """The exercises that an exercise goes with, in labelled groups. A relation holds both ways,
    whichever of the two files names it."""
    fronts = {name: other.front for name, other in stock.items()}
    own = fronts[slug]
    before = [name for name, front in fronts.items() if slug in front.leads_to]
    after = [name for name in own.leads_to if name in fronts]
    alike = [name for name, front in fronts.items() if slug in front.related]
    named = [name for name in dict.fromkeys([*own.related, *alike]) if name in fronts]
    related = [name for name in named if name not in {*before, *after}]
    groups = ((_("Before it"), before), (_("After it"), after), (_("Related"), related))
    return [(label, names) for label, names in groups if names]
