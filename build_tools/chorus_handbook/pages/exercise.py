"""The page of one exercise, in the order a director reads it.

Title and summary; what can stop someone; the facts in words; the two sentences to say; the score
with keys and pitches; then the author's sections in one order for every page, whatever their
order in the file; what it goes with; the standing note.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.engraving import Engraved
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.model import Entry, Section
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import LEADER, Part, Score
from chorus_handbook.pages import words
from chorus_handbook.pages.care import VOICE_CARE
from chorus_handbook.pages.diagrams import diagram
from chorus_handbook.pages.figure import score_figure
from chorus_handbook.pages.html import render
from chorus_handbook.pages.index_file import LadderData
from chorus_handbook.pages.ladder import ladder_chart
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.pages.page import Page, late_slot, link, slot, without_marks
from chorus_handbook.pages.player import player, track_links
from chorus_handbook.pages.starts import starts
from chorus_handbook.voices import Ladder
from chorus_handbook.voices.ladder_data import ladder_as_data
from chorus_handbook.voices.load import Load

#: The author's sections in reading order; any other heading follows in the order of the file.
SECTIONS = (
    "",
    "Say",
    "How to run it",
    "Listen for",
    "What goes wrong",
    "Make it fit",
    "Variations",
)
#: Sections that stand above the score.
_BEFORE_SCORE = ("", "Say")


@dataclass(frozen=True, slots=True)
class Exercise:
    """All that is known of one exercise: what its page is made from."""

    entry: Entry
    score: Score | None
    facts: Facts | None
    engraved: Engraved | None
    ladder: Ladder | None = None
    further_keys: tuple[Engraved, ...] = ()
    loads: Mapping[str, Load] = field(default_factory=dict)
    #: The voices for which the site offers practice tracks.
    tracks: tuple[str, ...] = ()

    @property
    def slug(self) -> str:
        return self.entry.slug

    @property
    def path(self) -> str:
        return f"exercises/{self.slug}.md"

    @property
    def ladder_data(self) -> LadderData | None:
        """The ladder for the browser."""
        octave = self.entry.front.step_out == "octave"
        return ladder_as_data(self.ladder, may_change_octave=octave)


def exercise_page(
    exercise: Exercise,
    stock: Mapping[str, Exercise],
    chorus: Chorus,
    vocabulary: Vocabulary,
) -> Page:
    """The page of one exercise; `stock` is every exercise by slug, for the links."""
    front = exercise.entry.front
    slots = {
        "head": _head(exercise, chorus, vocabulary),
        "say": '<section class="hb-say" aria-label="Say">',
        "said": "</section>",
        "end": _end(exercise, stock, vocabulary),
    }
    late = {}
    if exercise.facts and exercise.score:
        # search would read a cell for every voice in every key, and find nothing in them
        late["ladder"] = ladder_chart(exercise.ladder, chorus)
        slots["score"] = _score(exercise, exercise.score, exercise.facts, chorus)
        if exercise.engraved:
            drawn = [exercise.engraved, *exercise.further_keys]
            begins = starts(exercise.ladder, chorus, exercise.score.mode)
            late["score"] = score_figure(drawn, begins)
            late["player"] = player(
                exercise.path, exercise.slug, exercise.score, exercise.facts, chorus
            ) + track_links(exercise.path, exercise.slug, exercise.tracks, chorus)
        if exercise.ladder_data:
            late["own-range"] = own_range(exercise.path, chorus, exercise.ladder_data)
    return Page(
        path=exercise.path,
        title=front.title,
        description=front.summary,
        markdown=_markdown(exercise.entry.source.sections, "score" in slots),
        slots=slots,
        late=late,
    )


def _markdown(sections: tuple[Section, ...], scored: bool) -> str:
    """The author's sections in reading order, with the slots between them."""
    known = {heading.lower(): place for place, heading in enumerate(SECTIONS)}
    ordered = sorted(sections, key=lambda s: known.get(s.heading.lower(), len(known)))
    above = [s for s in ordered if s.heading.capitalize() in _BEFORE_SCORE]
    below = [s for s in ordered if s not in above]
    text = slot("head")
    for section in above:
        body = without_marks(section.markdown)
        text += slot("say") + body + slot("said") if section.heading else body
    if scored:
        text += slot("score")
    for section in below:
        text += f"\n\n## {without_marks(section.heading)}\n\n{without_marks(section.markdown)}"
    return text + slot("end")


def _head(exercise: Exercise, chorus: Chorus, vocabulary: Vocabulary) -> str:
    front = exercise.entry.front
    return render(
        "exercise_head.html",
        title=front.title,
        summary=front.summary,
        cautions=[vocabulary.cautions[c].text for c in cautions_for(front, vocabulary)],
        facts=words.facts_line(exercise.entry, exercise.facts, exercise.score, chorus, vocabulary),
        goals=[
            {"label": vocabulary.goals[g].label, "link": link(exercise.path, f"goals/{g}.md")}
            for g in front.goals
            if g in vocabulary.goals
        ],
        cue=front.cue,
        also_called=front.also_called,
    )


def _score(exercise: Exercise, score: Score, facts: Facts, chorus: Chorus) -> str:
    front = exercise.entry.front
    path = front.key_path
    assert path is not None  # facts are measured only where keys are stated
    parts = {part.voice: part for part in score.parts}
    spoken_only = not any(part.sung for part in score.parts)
    return render(
        "exercise_score.html",
        first_key=words.key(facts.keys[0], facts.mode),
        keys=words.keys(path, facts.keys),
        tempo=words.pace(facts, front.passes),
        step_out=words.STEP_OUT_WORDS[front.step_out],
        rows=[] if spoken_only else _voice_rows(facts, parts, chorus),
        ladder=Markup(late_slot("ladder")),
        voiced=words.voiced(
            {chorus.voices[name].label: one.seconds for name, one in exercise.loads.items()}
        ),
        sung_on=words.sung_on(score),
    )


def _voice_rows(
    facts: Facts, parts: Mapping[str, Part], chorus: Chorus
) -> list[dict[str, str | None]]:
    """A row a voice; voices that sing the same notes in the same octave share one."""
    rows: dict[tuple[object, ...], list[str]] = {}
    cells: dict[tuple[object, ...], dict[str, str | None]] = {}
    for voice in facts.voices:
        part = parts[voice.voice]
        begins = None
        if part.sung and part.sung[0].degree:
            tonic = facts.keys[0].moved(7 * part.octave, 12 * part.octave)
            begins = words.note(part.sung[0].degree.in_key(tonic, facts.mode))
        cell = {
            "begins": begins,
            "lowest": words.note(voice.lowest) if voice.lowest else None,
            "highest": words.note(voice.highest) if voice.highest else None,
            "span": words.span(voice.ambitus_semitones),
        }
        key = (part.shares, *cell.values())
        label = chorus.leader.label if voice.voice == LEADER else chorus.voices[voice.voice].label
        rows.setdefault(key, []).append(label)
        cells[key] = cell
    return [{"voice": words.listed(labels), **cells[key]} for key, labels in rows.items()]


def _end(exercise: Exercise, stock: Mapping[str, Exercise], vocabulary: Vocabulary) -> str:
    front = exercise.entry.front
    formation = vocabulary.formations.get(front.formation or "")
    before = [slug for slug, other in stock.items() if exercise.slug in other.entry.front.leads_to]
    # A relation holds both ways, whichever of the two files names it.
    alike = [s for s, other in stock.items() if exercise.slug in other.entry.front.related]
    shown = {*before, *front.leads_to}
    related = [s for s in dict.fromkeys([*front.related, *alike]) if s not in shown]
    groups = (("Before it", before), ("After it", front.leads_to), ("Related", related))
    return render(
        "exercise_end.html",
        standing=formation
        and {"label": formation.label, "diagram": Markup(diagram(formation.diagram))},
        kin=[
            {
                "label": label,
                "exercises": [
                    {
                        "title": stock[slug].entry.front.title,
                        "summary": stock[slug].entry.front.summary,
                        "link": link(exercise.path, stock[slug].path),
                    }
                    for slug in slugs
                    if slug in stock
                ],
            }
            for label, slugs in groups
            if any(slug in stock for slug in slugs)
        ],
        voice_care=link(exercise.path, VOICE_CARE),
    )
