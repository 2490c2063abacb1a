"""Reads an ABC tune line by line: applies its fields, and gives each line of music and of words to
the voice it belongs to (section 7 of the standard).

A field is a line such as `M:3/4`: a letter, a colon and a text. `V:alto` says that the lines after
it are for the voice "alto"; a line that begins with `w:` holds words. The notes of each voice are
read by a `MelodyReader` of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from chorus_handbook.music.abc.decoration_names import SYMBOLS, read_symbol
from chorus_handbook.music.abc.fields import default_unit, read_meter, read_order, read_unit
from chorus_handbook.music.abc.keys import FieldError, read_key
from chorus_handbook.music.abc.lines import IGNORED, LineText, Tune, TuneLine
from chorus_handbook.music.abc.melody import MelodyReader
from chorus_handbook.music.abc.pitches import PROPAGATIONS
from chorus_handbook.music.abc.reading import Reading, Voice, too_large
from chorus_handbook.music.abc.tokens import Token, read_tokens
from chorus_handbook.music.abc.voices import Manner, Named, is_clef, read_manner
from chorus_handbook.music.abc.words import Underlaid
from chorus_handbook.music.limits import MOST_LINES
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import WrittenNote
from chorus_handbook.problems import Place, Problem, in_quotes


def read_voices(tune: Tune) -> Reading:
    """Read the fields of a tune and the music of all its voices. If the tune is too large, the
    result has nothing but the problem that says so."""
    reader = _TuneReader()
    if large := too_large(tune):
        reader.reading.problems.append(large)
    else:
        reader.head(tune.head)
        for line in tune.body:
            reader.line(line)
        reader.finish()
    return reader.reading


@dataclass(slots=True)
class _OpenVoice:
    """A voice while it is read. `notes` are its notes, without rests, that have been given to
    `words` so far."""

    melody: MelodyReader
    words: Underlaid = field(default_factory=Underlaid)
    notes: list[WrittenNote] = field(default_factory=list)
    seen: int = 0  # how many notes and rests of the melody have been looked at for `notes`

    def catch_up(self) -> list[WrittenNote]:
        """Add to `notes` what has been read since the last call. Returns all of them."""
        read = self.melody.written.notes
        self.notes += (note for note in read[self.seen :] if note.pitch)
        self.seen = len(read)
        return self.notes


class _TuneReader:
    """Reads the lines of a tune one after another into a `Reading`."""

    def __init__(self) -> None:
        self.reading = Reading()
        # the length of a letter without a number, for voices without an `L:` of their own
        self._unit: Fraction | None = None
        self._units: dict[str, Fraction] = {}  # the same by voice, for those with an `L:`
        self._shift = 0  # how many octaves `K:` adds to the octave of every letter
        self._propagation = PROPAGATIONS[0]  # how far accidentals are valid
        self._symbols = dict(SYMBOLS)  # letters and signs that stand for decorations
        # by the voice's name after `V:` (empty in a tune without `V:`):
        self._named: dict[str, Named] = {}
        self._manners: dict[str, Manner] = {}
        self._open: dict[str, _OpenVoice] = {}
        self._current: str | None = None  # the voice that the lines belong to
        self._part = ""  # the part of the tune (`P:`) that the lines belong to
        self._in_body = False
        self._reported = False  # whether notes that belong to no voice have been reported
        self._fields: dict[str, Callable[[str, Place], None]] = {  # by the letter of the field
            "M": self._meter,
            "L": self._length,
            "K": self._key,
            "P": self._parts,
            "V": self._voice,
            "I": self._instruction,
            "Q": self._tempo,
            "U": self._symbol,
        }

    def head(self, lines: Sequence[TuneLine]) -> None:
        """Read the fields above the notes. The meter is read first, because the unit of length
        depends on it."""
        for line in sorted(lines, key=lambda line: line.letter != "M"):
            self._field(line)
        self._in_body = True

    def line(self, line: TuneLine) -> None:
        """Read one line of the body."""
        if line.letter == "w":
            self._words(line)
        elif line.letter:
            self._field(line)
        else:
            for written in line.texts:
                self._music(written)

    def finish(self) -> None:
        """Close all voices."""
        for name, voice in self._open.items():
            written = voice.melody.finish()
            self.reading.problems += voice.melody.problems + voice.words.problems
            if written.pieces:
                self.reading.voices.append(Voice(name, written))
        self.reading.named = list(self._named.values())

    def _music(self, written: LineText) -> None:
        """Read a line of music, which may contain fields in brackets, such as [V:alto]."""
        problems = self.reading.problems
        for token in read_tokens(written.text, written.place, self._symbols, problems):
            if token.kind == "inline":
                self._inline(token)
            elif voice := self._singing(token.place):
                voice.melody.take(token, self._part)
        for voice in self._open.values():
            voice.melody.end_line()

    def _inline(self, token: Token) -> None:
        letter = token["letter"]
        if letter in self._fields:
            inside = LineText(token["inside"], token.place)
            self._field(TuneLine(letter, token.place, [inside]))
        elif letter not in IGNORED:
            self._complain(
                token.place,
                f"The field {shown(token.text)} cannot stand among the notes.",
                'Write it on a line of its own. Among the notes only fields such as "[V:alto]", '
                '"[L:1/8]" and "[P:A]" can stand.',
                "notation-line",
            )

    def _singing(self, place: Place) -> _OpenVoice | None:
        """The voice that the next notes belong to: that of the last `V:`, or the only voice of a
        tune without `V:`. If there are several voices and no `V:` yet, this is reported at `place`
        and the result is None."""
        if self._current is None:
            if len(self._named) > 1:
                if not self._reported:
                    self._complain(
                        place,
                        "It is not clear which voice sings these notes.",
                        f'Write "V:{next(iter(self._named))}" on a line above them.',
                        "notation-voice",
                    )
                self._reported = True
                return None
            self._current = next(iter(self._named), "")
            if not self._named:
                self._named[""] = Named("", "", place)
        name = self._current
        if name not in self._open:
            shift = self._manners.get(name, Manner()).shift
            self._open[name] = _OpenVoice(
                MelodyReader(
                    self._named[name].place,
                    self.reading.key,
                    self.reading.meter,
                    self._units.get(name) or self._unit or default_unit(self.reading.meter),
                    self._shift if shift is None else shift,
                    self._symbols,
                    self._propagation,
                )
            )
        return self._open[name]

    def _words(self, line: TuneLine) -> None:
        """Give a line of words to the notes above it."""
        voice = self._open.get(self._current or "")
        if voice is None:  # there are no notes, and `lay` reports that
            Underlaid(problems=self.reading.problems).lay(line, ())
        else:
            voice.words.lay(line, voice.catch_up())

    def _field(self, line: TuneLine) -> None:
        read = self._fields.get(line.letter)
        if read:
            try:
                read(line.text, line.place)
            except FieldError as error:
                self._complain(line.place, error.message, error.hint, error.code)

    def _meter(self, text: str, place: Place) -> None:
        meter = read_meter(text)
        if self._open and meter != self.reading.meter:
            self.reading.other_meter = self.reading.other_meter or place
            raise FieldError(
                "The meter changes here; the handbook does not support that.",
                'Keep one meter, or write "M:none" above "K:" for bars of any length.',
            )
        self.reading.meter = meter

    def _length(self, text: str, _: Place) -> None:
        unit = read_unit(text)
        if self._current is None:
            self._unit = unit
            return
        self._units[self._current] = unit
        if voice := self._open.get(self._current):
            voice.melody.set_unit(unit)

    def _key(self, text: str, _: Place) -> None:
        key, rest = read_key(text) if self._names_key(text) else (self.reading.key, text)
        shift = read_manner(rest).shift
        if self._in_body and (key.tonic, key.altered) != (
            self.reading.key.tonic,
            self.reading.key.altered,
        ):
            raise FieldError(
                "The key changes here; the handbook does not support that.",
                "Stay in one key, and write accidentals before the notes that need them, such as "
                '"^F", "_B" or "=c".',
            )
        if not self._in_body:
            self.reading.key = key
            self._shift = shift or 0
        elif shift is not None and self._current is None:
            self._shift = shift
        elif shift is not None:
            self._move(self._current or "", Manner(None, shift))

    def _names_key(self, text: str) -> bool:
        """Whether the text of a `K:` names a key. Among the notes it may be only a clef or a
        setting such as octave=1."""
        word, _, value = text.partition("=")
        return not self._in_body or not (
            is_clef(text.strip()) or (value and word.strip().isalpha())
        )

    def _instruction(self, text: str, _: Place) -> None:
        """Read an instruction (`I:`). Only propagate-accidentals changes what is sung (section
        11.3); others are ignored."""
        words = text.split()[:2]
        if words[:1] != ["propagate-accidentals"]:
            return
        if words[-1] not in PROPAGATIONS:
            raise FieldError(
                '"propagate-accidentals" does not say how far accidentals are valid.',
                f"After it, write one of {in_quotes(PROPAGATIONS)}.",
            )
        if self._open and words[-1] != self._propagation:
            raise FieldError(
                "How far accidentals are valid changes here; a tune can have only one rule.",
                'Write "propagate-accidentals" only once, above the first note.',
            )
        self._propagation = words[-1]

    def _tempo(self, _: str, __: Place) -> None:
        """Refuse a change of tempo. A tempo above the notes is ignored: the front matter has it."""
        if self._open:
            raise FieldError(
                "The tempo changes here; the handbook does not support that.",
                'Delete this field: an exercise has one tempo, the field "tempo" in the front '
                "matter. Say in the text of the exercise where the tempo changes.",
            )

    def _symbol(self, text: str, _: Place) -> None:
        symbol, decoration = read_symbol(text)
        self._symbols[symbol] = decoration

    def _parts(self, text: str, _: Place) -> None:
        if not self._in_body:
            self.reading.order = read_order(text)
        elif len(text) == 1 and text.isascii() and text.isupper():
            self._part = text
        else:
            raise FieldError(
                f"{shown(text)} is not the name of a part.",
                'Name the part that begins here by one capital letter, such as "P:A".',
            )

    def _voice(self, text: str, place: Place) -> None:
        name, _, rest = text.partition(" ")
        if not name:
            raise FieldError(
                '"V:" names no voice.',
                'Write who sings after it, such as "V:alto".',
                "notation-voice",
            )
        if name not in self._named:
            if len(self._named) >= MOST_LINES:
                raise FieldError(
                    f"There are more than {MOST_LINES} voices.",
                    "Delete voices, or split the exercise.",
                    "notation-size",
                )
            self._check_unnamed(place)
            self._named[name] = Named(name, "", place)
        if self._in_body:
            self._current = name
        manner = read_manner(rest)
        if manner.name and not self._named[name].name:
            self._named[name] = Named(name, manner.name, self._named[name].place)
        self._move(name, manner)

    def _move(self, name: str, manner: Manner) -> None:
        """Change the printed name of a voice, and by how many octaves its letters are moved, from
        here on. What `manner` does not state stays as it is."""
        before = self._manners.get(name, Manner())
        shift = before.shift if manner.shift is None else manner.shift
        self._manners[name] = Manner(manner.name or before.name, shift)
        if manner.shift is not None and name in self._open:
            self._open[name].melody.set_shift(manner.shift)

    def _check_unnamed(self, place: Place) -> None:
        """Report notes before the first `V:`, because it is not clear who sings them."""
        if "" in self._named and not self._reported:
            self._reported = True
            self._complain(
                self._named[""].place,
                'It is not clear which voice sings these notes: they stand above the first "V:".',
                f'Write "V:" and a voice on a line above them, as on line {place.line}.',
                "notation-voice",
            )

    def _complain(
        self, place: Place, message: str, hint: str, code: str = "notation-header"
    ) -> None:
        self.reading.problems.append(Problem(place, code, message, hint))
