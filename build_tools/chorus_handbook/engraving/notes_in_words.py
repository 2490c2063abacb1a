"""Writes out every note of a score in words, for singers who read by ear or by touch.

Each line of the score is told bar by bar: "Bar 1: quarter: C4 “har-”, D4 “bour”; half: E4 “lights”
(breath)". A length is said once for the notes that have it. Lines that several voices sing are told
once. The texts are HTML in which the name of every pitch is a <b> element, so that the browser can
put the same notes into other keys.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from markupsafe import Markup, escape

from chorus_handbook.catalogue import N_, _, joined, listed, pgettext
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.describe import drawing_title, letter_name, than_written
from chorus_handbook.engraving.engraved import LineInWords, NotesInWords
from chorus_handbook.engraving.note_values import value_name
from chorus_handbook.engraving.staves import Staff, label_of_all, staves
from chorus_handbook.music.phrases import words_of
from chorus_handbook.music.score import Degree, Note, Part, Rest, Score, Syllable
from chorus_handbook.pitch import Pitch

_DYNAMICS = {
    "pp": N_("pianissimo"),
    "p": N_("piano"),
    "mp": N_("mezzo piano"),
    "mf": N_("mezzo forte"),
    "f": N_("forte"),
    "ff": N_("fortissimo"),
    "<": N_("crescendo begins"),
    ">": N_("diminuendo begins"),
}
_HAIRPIN_ENDS = {"<": N_("crescendo ends"), ">": N_("diminuendo ends")}
_SPOKEN = {"middle": N_("spoken"), "high": N_("spoken high"), "low": N_("spoken low")}
_ACCENTS = {
    "accent": N_("accent"),
    "marcato": N_("marcato"),
    "staccato": N_("staccato"),
    "tenuto": N_("tenuto"),
}


def notes_in_words(title: str, score: Score, chorus: Chorus, tonic: Pitch) -> NotesInWords:
    """All notes of a score in the key on `tonic`."""
    teller = _Teller(score, tonic)
    lines = tuple(
        LineInWords(
            _singers(staff, chorus),
            " ".join(_octaves(staff, chorus)),
            tuple((label, str(text)) for label, text in teller.bars(staff.part)),
        )
        for staff in staves(score, chorus)
    )
    about = _about(score, chorus)
    return NotesInWords(drawing_title(title, score, tonic), about, lines, tuple(teller.pitches))


def pitch_name(pitch: Pitch) -> str:
    """The name of a pitch with its octave: "C4", "B flat 3"."""
    letter = letter_name(pitch)
    if len(letter) == 1:
        return f"{letter}{pitch.octave}"
    # Translators: B flat 3. The number is the octave.
    return _("{letter} {octave}", letter=letter, octave=pitch.octave)


def _singers(staff: Staff, chorus: Chorus) -> str:
    voices = [part.voice for part in staff.parts]
    if len(voices) > 1 and len(voices) == len(chorus.voices):
        return label_of_all()
    return listed(map(chorus.label_of, voices))


def _octaves(staff: Staff, chorus: Chorus) -> Iterator[str]:
    """Sentences that name the voices that sing a line in another octave than the one in which it is
    told."""
    others: dict[int, list[str]] = {}
    for part in staff.parts if staff.part.sung else ():
        others.setdefault(part.octave - staff.part.octave, []).append(chorus.label_of(part.voice))
    return (than_written(n, listed(labels)) for n, labels in others.items() if n)


def _about(score: Score, chorus: Chorus) -> tuple[str, ...]:
    """Sentences that a reader must know before the notes."""
    sentences = [
        _("A length is said once for the notes that have it."),
        _("A note without a word goes on with the word before it.") if score.verses else "",
        _("The words of several verses stand between slashes.") if score.verses > 1 else "",
    ]
    if score.pickup:
        # Translators: {value} is a note value, such as "dotted quarter".
        text = _("It begins with a pickup that lasts one {value}.", value=value_name(score.pickup))
        sentences.append(text)
    if score.entries:
        entries = joined(_entries(score, chorus))
        # Translators: {entries} is such as "1 Alto, 2 Soprano when the first begins bar 3".
        sentences.append(_("Entries of the round: {entries}.", entries=entries))
    return tuple(filter(None, sentences))


def _entries(score: Score, chorus: Chorus) -> Iterator[str]:
    """Who enters in a round, in turn, and when."""
    for number, entry in enumerate(score.entries, 1):
        values = {"number": number, "voices": listed(map(chorus.label_of, entry.voices))}
        if not entry.onset:
            # Translators: {number} counts the entries of a round, {voices} is such as "Alto".
            yield _("{number} {voices}", **values)
            continue
        bar, rest = divmod(entry.onset - score.pickup, score.meter.bar)
        values["bar"] = bar + 1
        if not rest:
            yield _("{number} {voices} when the first begins bar {bar}", **values)
        else:
            values["beat"] = str(rest / score.meter.beat + 1)
            yield _("{number} {voices} when the first is at beat {beat} of bar {bar}", **values)


@dataclass(frozen=True, slots=True)
class _Told:
    """One thing to be told of a bar, from `onset` to `end`: `what` is the name of a dynamic, or a
    note or rest. A note that lasts beyond its bar is told in each bar, for the part that lies in
    it. `slurs` are the words for slurs that begin or end with the note."""

    onset: Fraction
    what: Note | Rest | str
    end: Fraction = Fraction(0)
    slurs: tuple[str, ...] = ()


class _Teller:
    """Puts the parts of a score into words, in one key. `pitches` has the names of all pitches in
    these words so far, in order."""

    def __init__(self, score: Score, tonic: Pitch) -> None:
        self._mode, self._tonic = score.mode, tonic
        self._starts = score.bar_starts
        self._edges = (*score.bar_starts, score.length)
        #: The number of the first bar: a pickup is 0.
        self._first = 0 if score.pickup else 1
        self.pitches: list[str] = []

    def bars(self, part: Part) -> Iterator[tuple[str, Markup]]:
        """The label of each bar of a part, or of several bars that are told together, and the text.
        Bars of rest are told together, and so are bars that are sung again."""
        bars = self._by_bar(part)
        back = _repeats(bars)

        def how(bar: int) -> tuple[str, int]:
            if _silent(bars[bar]):
                return "rest", 0
            return ("again", back[bar]) if back[bar] else ("told", bar)

        for (kind, number), group in groupby(range(len(bars)), how):
            numbers = list(group)
            match kind:
                case "rest":
                    text = escape(pgettext("of music", "rest"))
                case "again":
                    text = escape(self._again(numbers, number, bars))
                case _:
                    text = self._bar(part, bars[number])
            yield self._label(numbers), text

    def _by_bar(self, part: Part) -> list[list[_Told]]:
        """What is told of each bar: dynamics, notes and rests, in order."""
        bars: list[list[_Told]] = [[] for _ in self._starts]
        slurs = _slurs(part)
        for event in part.events:
            first = bisect_right(self._starts, event.onset) - 1
            for bar in range(first, bisect_left(self._edges, event.end)):
                onset = max(event.onset, self._edges[bar])
                end = min(event.end, self._edges[bar + 1])
                bars[bar].append(_Told(onset, event, end, slurs.get(event.onset, ())))
        begun = {dynamic.onset for dynamic in part.dynamics}
        for dynamic in part.dynamics:
            bar = bisect_right(self._starts, dynamic.onset) - 1
            bars[bar].append(_Told(dynamic.onset, _(_DYNAMICS[dynamic.sign])))
            if dynamic.end is not None and dynamic.end not in begun:
                bar = bisect_left(self._starts, dynamic.end) - 1
                bars[bar].append(_Told(dynamic.end, _(_HAIRPIN_ENDS[dynamic.sign])))
        for told in bars:
            told.sort(key=lambda one: (one.onset, not isinstance(one.what, str)))
        return bars

    def _label(self, bars: Sequence[int]) -> str:
        first, last = bars[0] + self._first, bars[-1] + self._first
        if first == last:
            return _("Bar {n}", n=first) if first else _("Pickup")
        return _("Bars {first} to {last}", first=first, last=last)

    def _again(self, told: Sequence[int], back: int, bars: Sequence[Sequence[_Told]]) -> str:
        """Bars that repeat those `back` bars before them, perhaps on other words."""
        before = [bar - back for bar in told]
        words, others = (
            words_of((note for bar in numbers for note in _begun(bars[bar])), 0)
            for numbers in (told, before)
        )
        first, last = before[0] + self._first, before[-1] + self._first
        if first == last:
            text = _("the same as bar {n}", n=first)
        else:
            text = _("the same as bars {first} to {last}", first=first, last=last)
        if words == others:
            return text
        # Translators: {bars} is such as "the same as bars 1 to 4", {words} what is sung.
        return _("{bars}, on “{words}”", bars=text, words=" ".join(words))

    def _bar(self, part: Part, told: Sequence[_Told]) -> Markup:
        """The text of one bar: notes with their lengths, each length said once for the notes that
        follow it."""
        groups: list[tuple[str, list[str]]] = []
        signs: list[str] = []  # dynamics that stand before the next note
        for one in told:
            if isinstance(one.what, str):
                signs.append(one.what)
                continue
            value = value_name(one.end - one.onset)
            if not groups or groups[-1][0] != value:
                groups.append((value, []))
            groups[-1][1].extend([*signs, self._event(part, one, one.what)])
            signs = []
        if groups:
            groups[-1][1].extend(signs)
        text: str = Markup()
        for value, names in groups:
            # Translators: {value} is the length of these notes, such as "dotted quarter".
            group = _("{value}: {notes}", value=value, notes=escape(joined(names)))
            text = _("{notes}; {next}", notes=text, next=group) if text else group
        return escape(text)

    def _event(self, part: Part, one: _Told, event: Note | Rest) -> str:
        begins, ends = one.onset == event.onset, one.end == event.end
        signs: list[str] = []
        if isinstance(event, Rest):
            text: str = pgettext("of music", "rest")
        else:
            text = self._note(part, event, begins)
            if begins:
                signs += [_(_ACCENTS[accent]) for accent in event.accents]
                signs += [_("only as far as is easy")] if event.easy else []
                signs += one.slurs
        fermatas = [f for f in event.fermatas if one.onset <= f.onset < one.end]
        signs += [_("fermata")] if fermatas else []
        if isinstance(event, Note):
            signs += self._on_the_way(event, one)
        if ends and event.breath == "breath":
            signs.append(_("breath"))
        if not ends and isinstance(event, Note):
            signs.append(_("held into the next bar"))
        # Translators: {signs} is such as "staccato, fermata".
        return _("{note} ({signs})", note=text, signs=joined(signs)) if signs else text

    def _on_the_way(self, note: Note, one: _Told) -> Iterator[str]:
        """What happens while a note is held, in the part of it that lies in this bar."""
        glide = note.onset + note.glide_at if note.glide_at is not None else None
        if glide is not None and one.onset <= glide < one.end:
            if note.glide_at == 0:
                yield _("glides to the next note")
            else:
                # Translators: {value} is a note value, such as "quarter".
                last = value_name(note.end - glide)
                yield _("glides to the next note for its last {value}", value=last)
        if any(one.onset <= note.onset + moment < one.end for moment in note.staggered):
            yield _("staggered breath")

    def _note(self, part: Part, note: Note, begins: bool) -> str:
        if note.degree is None:
            name: str = _(_SPOKEN[note.spoken or "middle"])
        else:
            name = self._pitch(note.degree, part)
            if note.below:
                below = listed(self._pitch(degree, part) for degree in note.below)
                # Translators: G4 with E4 and C4, where a voice divides.
                name = _("{note} with {below}", note=name, below=below)
        if not begins:
            # Translators: a note that was begun in the bar before.
            return _("still {note}", note=name)
        if note.graces:
            graces = joined(self._pitch(degree, part) for degree in note.graces)
            name = _("{note} after grace notes {graces}", note=name, graces=graces)
        words = " / ".join(map(_syllable, note.syllables)) if any(note.syllables) else ""
        # Translators: a note and what is sung on it.
        return _("{note} “{words}”", note=name, words=words) if words else name

    def _pitch(self, degree: Degree, part: Part) -> Markup:
        pitch = degree.in_key(self._tonic, self._mode)
        pitch = replace(pitch, octave=pitch.octave + part.octave)
        self.pitches.append(str(pitch))
        return Markup("<b>{}</b>").format(pitch_name(pitch))


def _syllable(syllable: Syllable | None) -> str:
    if syllable is None:
        return "–"
    return f"{syllable.text}-" if syllable.joined else syllable.text


def _silent(told: Sequence[_Told]) -> bool:
    """Whether nothing but a rest fills the bar."""
    return len(told) == 1 and isinstance(told[0].what, Rest) and not told[0].what.fermatas


def _begun(told: Sequence[_Told]) -> list[Note]:
    """The notes that begin in a bar."""
    return [one.what for one in told if isinstance(one.what, Note) and one.onset == one.what.onset]


def _repeats(bars: Sequence[Sequence[_Told]]) -> list[int]:
    """For each bar, how many bars before it the same written notes were sung; 0 for other bars."""
    first: dict[tuple[str, ...], int] = {}
    back = []
    for number, told in enumerate(bars):
        written = tuple(note.drawn or note.id for note in _begun(told))
        back.append(number - first.setdefault(written, number) if written else 0)
    return back


def _slurs(part: Part) -> dict[Fraction, tuple[str, ...]]:
    """The words for slurs, by the onset of the note with which they begin or end. A slur over notes
    that share a syllable is left out: its notes are told without words."""
    told: dict[Fraction, tuple[str, ...]] = {}
    sung = any(any(note.syllables) for note in part.notes)
    for slur in part.slurs:
        notes = [note for note in part.notes if slur.onset <= note.onset < slur.end]
        if len(notes) > 1 and not (sung and not any(any(n.syllables) for n in notes[1:])):
            for note, words in ((notes[0], _("slur begins")), (notes[-1], _("slur ends"))):
                told[note.onset] = (*told.get(note.onset, ()), words)
    return told
