"""A chorus and a small builder of scores, so that these tests need no notation reader; and the
MusicXML files that music21 ships for tests."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.modes import ModeName
from chorus_handbook.music.musicxml.parse import parse_score
from chorus_handbook.music.score import (
    Degree,
    Dynamic,
    Meter,
    Note,
    Part,
    Rest,
    Score,
    ScoreFile,
    Span,
    Syllable,
    WrittenBlock,
)
from chorus_handbook.pitch import Pitch

Length = int | str | Fraction
Event = Note | Rest

VOICES: dict[str, dict[str, object]] = {
    "soprano": {"clef": "treble", "comfortable": "C4 to F5", "limits": "A3 to A5"},
    "alto": {"clef": "treble", "comfortable": "G3 to C5", "limits": "E3 to E5"},
    "tenor": {
        "clef": "treble-8",
        "octave": -1,
        "comfortable": "C3 to F4",
        "limits": "A2 to A4",
    },
    "bass": {"clef": "bass", "octave": -1, "comfortable": "F2 to C4", "limits": "D2 to E4"},
}


@dataclass(frozen=True)
class Builder:
    """Scores by hand. Lengths are quarters, written as numbers or as "3/2"."""

    chorus: Chorus

    def sung(self, steps: int, length: Length, words: object = None, **more: Any) -> Note:
        """A note `steps` above the tonic. `words` is a syllable, or a list with one item a verse;
        a syllable is a text, with "-" behind it when the word goes on and "_" for each note more
        that it is held."""
        degree = Degree(steps, more.pop("alter", 0))
        return self._note(length, words, degree=degree, **more)

    def spoken(self, height: str, length: Length, words: object = None, **more: Any) -> Note:
        """A spoken beat."""
        return self._note(length, words, spoken=height, **more)

    def rest(self, length: Length, **more: Any) -> Rest:
        """A rest."""
        return Rest(Fraction(0), Fraction(length), **more)

    def scale(self, *steps: int, length: Length = 1) -> list[Note]:
        """Notes of one length."""
        return [self.sung(step, length) for step in steps]

    def part(self, voice: str, events: Sequence[Event], **more: Any) -> Part:
        """A part: its events in time, its notes numbered, its octave the voice's own."""
        placed: list[Event] = []
        moment, count = Fraction(0), 0
        for event in events:
            fermatas = tuple(Span(moment + h.onset, h.duration) for h in event.fermatas)
            if isinstance(event, Note):
                count += 1
                event = replace(event, id=f"{voice}-{count}")  # noqa: PLW2901
            placed.append(replace(event, onset=moment, fermatas=fermatas))
            moment += event.duration
        known = self.chorus.voices.get(voice)
        more.setdefault("octave", known.octave if known else 0)
        more.setdefault("shares", (voice,))
        return Part(voice, events=tuple(placed), **more)

    def together(self, voices: Sequence[str], events: Sequence[Event], **more: Any) -> list[Part]:
        """Voices that all sing one line."""
        return [self.part(voice, events, shares=tuple(voices), **more) for voice in voices]

    def score(
        self,
        parts: Sequence[Part],
        *,
        meter: str = "4/4",
        mode: ModeName = "major",
        pickup: Length = 0,
        bars: Sequence[Length] = (),
        blocks: Sequence[Length] = (),
    ) -> Score:
        """A score with bars of its meter, or, when `bars` gives their lengths, of those; `blocks`
        are the moments at which blocks of lines begin."""
        sign = Meter(0, 4) if meter == "free" else Meter(*map(int, meter.split("/")))
        length = max(part.events[-1].end for part in parts)
        sizes = [Fraction(size) for size in bars]
        starts = [Fraction(0)]
        while starts[-1] < length:
            later = sizes[len(starts) - 1] if sizes else sign.bar or length
            first = Fraction(pickup) if len(starts) == 1 and pickup else later
            starts.append(starts[-1] + first)
        fermatas = {
            fermata for part in parts for event in part.events for fermata in event.fermatas
        }
        return Score(
            meter=sign,
            mode=mode,
            pickup=Fraction(pickup),
            length=length,
            bar_starts=tuple(starts[:-1]),
            parts=tuple(parts),
            fermatas=tuple(sorted(fermatas, key=lambda fermata: fermata.onset)),
            blocks=tuple(WrittenBlock((), Fraction(onset)) for onset in blocks),
        )

    def hold(self, onset: Length, length: Length) -> Span:
        """A hold inside an event, counted from its start."""
        return Span(Fraction(onset), Fraction(length))

    def dynamic(self, sign: str, onset: Length, end: Length | None = None) -> Dynamic:
        """A dynamic, or a hairpin until `end`."""
        return Dynamic(Fraction(onset), sign, None if end is None else Fraction(end))

    def _note(self, length: Length, words: object, **more: Any) -> Note:
        verses = words if isinstance(words, list) else [] if words is None else [words]
        if "glide_at" in more:
            more["glide_at"] = Fraction(more["glide_at"])
        syllables = tuple(None if verse is None else _syllable(verse) for verse in verses)
        return Note("", Fraction(0), Fraction(length), syllables=syllables, **more)


def _syllable(text: str) -> Syllable:
    plain = text.rstrip("-_")
    marks = text[len(plain) :]
    return Syllable(plain, "-" in marks, marks.count("_"))


@pytest.fixture(scope="session")
def chorus() -> Chorus:
    """The demo voices."""
    voices = {name: {"label": name.title(), **voice} for name, voice in VOICES.items()}
    groups = {"upper": ["soprano", "alto"], "lower": ["tenor", "bass"]}
    return Chorus.model_validate({"name": "Test chorus", "voices": voices, "groups": groups})


@pytest.fixture(scope="session")
def build(chorus: Chorus) -> Builder:
    """The builder of scores."""
    return Builder(chorus)


def _suite() -> Path:
    """Where music21's files lie, found without importing it."""
    spec = find_spec("music21")
    assert spec is not None and spec.origin is not None
    return Path(spec.origin).parent / "musicxml" / "lilypondTestSuite"


#: These are not valid by the schema of MusicXML 4.0.
INVALID = ("01e-", "41g-", "74a-", "99d-")
FILES = sorted(
    file.stem
    for file in _suite().iterdir()
    if file.suffix in (".xml", ".mxl") and not file.stem.startswith(INVALID)
)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A test that asks for a `suite_file` runs for each of them."""
    if "suite_file" in metafunc.fixturenames and not any(
        "suite_file" in mark.args[0] for mark in metafunc.definition.iter_markers("parametrize")
    ):
        metafunc.parametrize("suite_file", FILES)


@cache
def _file_text(start: str) -> str:
    path = next(file for file in sorted(_suite().iterdir()) if file.name.startswith(start))
    data = path.read_bytes()
    if path.suffix == ".mxl":
        with zipfile.ZipFile(path) as packed:
            inside = [name for name in packed.namelist() if not name.startswith("META-INF")]
            data = packed.read(inside[0])
    tree, errors = parse_score(data)
    assert tree is not None, errors
    for element in tree.iterfind("part//*[@id]"):
        del element.attrib["id"]
    for p, part in enumerate(tree.iterfind("part")):
        sung = (n for n in part.iter("note") if n.find("grace") is None and n.find("rest") is None)
        for n, note in enumerate(sung, 1):
            note.set("id", f"voice{p}-{n}")
    return etree.tostring(tree.getroot(), encoding="unicode")


@pytest.fixture(scope="session")
def file_text() -> Callable[[str], str]:
    """A file by the beginning of its name, as the reader hands it on: valid, its own ids gone, ours
    on its notes."""
    return _file_text


@pytest.fixture(scope="session")
def file_score(build: Builder) -> Callable[..., Score]:
    """A score that is drawn from a file, whose parts are all sung by sopranos; its own notes do not
    matter."""

    def score(xml: str, tonic: str = "C4") -> Score:
        plain = build.score([build.part("soprano", build.scale(0, 1, 2, 3))])
        ids = [str(part.get("id")) for part in etree.fromstring(xml).iter("score-part")]
        singers = tuple((name, (("soprano",),)) for name in ids)
        return replace(plain, file=ScoreFile(xml, Pitch.parse(tonic), singers))

    return score
