"""Runs verovio, the library that engraves our music. No other module imports verovio.

`draw` depends only on its arguments, so it can run in another process and its result can be cached.
When verovio fails, it often still returns a drawing with something missing. Each drawing is
therefore compared with its document (`losses`), so that `draw` returns a complete drawing or raises
EngravingError. What verovio logs is only used to say why something is missing.
"""

from __future__ import annotations

import base64
import os
import re
import sys
import tempfile
from collections.abc import Container, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import IO, TYPE_CHECKING, Any

from chorus_handbook import worker
from chorus_handbook.engraving.compact import Svg, UnknownDrawingError, read_drawing
from chorus_handbook.engraving.losses import losses, reasons
from chorus_handbook.worker import WorkerError

if TYPE_CHECKING:
    import verovio

#: Height of a staff in units of the drawing.
STAFF_UNITS = 720
#: The empty margin at the sides, and the one above and below, in units of the drawing. The second
#: is larger, because letters are taller than the engraver expects.
MARGIN_UNITS, _TALL_MARGIN_UNITS = 80, 160
#: One unit of verovio's options for page sizes, in units of the drawing.
_PAGE_UNIT = 10
#: The largest page that verovio allows, in its own units.
_TALLEST = 60_000
_WIDEST = 100_000

_OPTIONS: dict[str, object] = {
    "adjustPageHeight": True,
    "footer": "none",
    "header": "none",
    # no style sheet in the drawing: writing one takes a fifth of the engraver's time
    "mmOutput": True,
    "pageHeight": _TALLEST,
    "pageMarginBottom": _TALL_MARGIN_UNITS // _PAGE_UNIT,
    "pageMarginLeft": MARGIN_UNITS // _PAGE_UNIT,
    "pageMarginRight": MARGIN_UNITS // _PAGE_UNIT,
    "pageMarginTop": _TALL_MARGIN_UNITS // _PAGE_UNIT,
    "smuflTextFont": "none",
    "svgFormatRaw": True,
    "svgRemoveXlink": True,
    "svgViewBox": True,
    "xmlIdChecksum": True,
    # room between syllables, so that they read as words of their own at small sizes
    "lyricWordSpace": 2.0,
    "lyricTopMinMargin": 2.5,
    # room between signs above each other, such as a fermata and a dynamic
    "defaultBottomMargin": 0.8,
    "spacingStaff": 10,
    "spacingSystem": 8,
}

#: The most characters of the message of an EngravingError.
_LONGEST_MESSAGE = 300
_NOTE_ID = re.compile(r"<note\b[^>]*? id=\"([^\"]*)\"")


class EngravingError(Exception):
    """The engraver failed; the message says how, in its own words."""


@dataclass(frozen=True, slots=True)
class Options:
    """How to draw.

    width: the width of the page in units of the drawing, to which systems are spread; None for one
        system at its natural width.
    suffix: what is added to the id of every note.
    ids: whether notes have ids.
    transpose: the interval by which a file is transposed ("M3", "-m10"); empty for none.
    """

    width: int | None = None
    suffix: str = ""
    ids: bool = True
    transpose: str = ""


def draw(mei: str, options: Options = Options()) -> Svg:
    """Engrave an MEI document. Raises EngravingError if anything is missing from the drawing."""
    svg = _drawn(mei, options, options.ids)
    if options.ids and svg.body.count("<g id=") != mei.count("<note "):
        raise EngravingError("not every note was drawn")
    return svg


def draw_files(jobs: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Engrave MusicXML documents in the worker process (`draw_in_worker` calls this there).

    A job has `xml`, the document, and `options`, the fields of an Options. An answer has `svg`, the
    fields of an Svg, or `error`, a message. After the first error nothing more is drawn.
    """
    answers: list[dict[str, Any]] = []
    for job in jobs:
        try:
            answers.append({"svg": asdict(draw_file(job["xml"], Options(**job["options"])))})
        except EngravingError as error:
            return [*answers, {"error": str(error)}]
    return answers


def draw_in_worker(jobs: Sequence[tuple[str, Options]]) -> list[Svg]:
    """Engrave MusicXML documents in one request to the worker process, where a damaged file that
    crashes or hangs the engraver does no harm. Raises EngravingError."""
    requests = [{"xml": xml, "options": asdict(options)} for xml, options in jobs]
    try:
        answers = worker.call(
            "chorus_handbook.engraving.engine:draw_files", requests, needs=("verovio",)
        )
    except WorkerError as error:
        raise EngravingError(f"the file {error}") from error
    for answer in answers:
        if "error" in answer:
            raise EngravingError(answer["error"])
    return [Svg(**answer["svg"]) for answer in answers]


def draw_file(xml: str, options: Options = Options()) -> Svg:
    """Engrave MusicXML in this process, which a damaged file can crash (see `draw_in_worker`).
    `Svg.measure_ids` are the ids that measures have in the file. Raises EngravingError."""
    return _drawn(xml, options, frozenset(_NOTE_ID.findall(xml)) if options.ids else False)


def _drawn(document: str, options: Options, ids: bool | Container[str]) -> Svg:
    """Engrave a document, and compare the drawing with it. `ids` says which notes keep their ids in
    the drawing: all (True), none (False), or those with these ids. Raises EngravingError."""
    raw, log = _engraved(document, options.width, options.transpose)
    try:
        svg, drawn = read_drawing(raw, options.suffix, ids)
        missing = losses(document, drawn)
    except (UnknownDrawingError, SyntaxError, ValueError) as error:
        raise EngravingError(str(error)) from error
    if missing:
        raise _failure(missing, log)
    return svg


def raw_svg(document: str, width: int | None = None, transpose: str = "") -> str:
    """The engraver's own drawing of MEI or MusicXML, before it is compacted. Raises EngravingError
    when there is none."""
    return _engraved(document, width, transpose)[0]


def _engraved(document: str, width: int | None, transpose: str) -> tuple[str, list[str]]:
    """The engraver's own drawing, and the messages that it logged."""
    with _log() as log:
        toolkit = _toolkit()
        toolkit.setInputFrom("auto" if _is_file(document) else "mei")
        toolkit.setOptions(_options_for(document, width, transpose))
        loaded = toolkit.loadData(document)
        raw = toolkit.renderToSVG(1) if loaded else ""
        pages = toolkit.getPageCount() if loaded else 0
    if not loaded or "system" not in raw:
        raise _failure(["nothing was drawn"], log)
    if pages != 1:
        raise _failure(["the drawing is taller than the engraver allows"], [])
    return raw, log


def _failure(missing: list[str], log: list[str]) -> EngravingError:
    """The error of a drawing in which something is missing; `log` may say why."""
    why = "; ".join(reasons(log))
    text = "; ".join(missing) + (f" (the engraver says: {why})" if why else "")
    return EngravingError(text[:_LONGEST_MESSAGE])


def engraver_options(
    document: str, width: int | None = None, transpose: str = ""
) -> dict[str, object]:
    """All of the engraver's options for a document, under the engraver's names."""
    return _OPTIONS | _options_for(document, width, transpose)


def _options_for(document: str, width: int | None, transpose: str) -> dict[str, object]:
    """The engraver's options that depend on the document."""
    new_system = ' new-system="yes"' if _is_file(document) else "<sb/>"
    return {
        "adjustPageWidth": width is None,
        "breaks": "encoded" if new_system in document else "none",
        "pageWidth": (width or _WIDEST * _PAGE_UNIT) // _PAGE_UNIT,
        "transpose": transpose,
    }


def raw_drawing(document: str, options: dict[str, object]) -> str:
    """A drawing with the engraver's own options, whatever it complains about: for comparisons."""
    with _log():
        toolkit = _toolkit(for_comparison=True)
        toolkit.resetOptions()
        toolkit.setOptions(options)
        loaded = toolkit.loadData(document)
        return str(toolkit.renderToSVG(1)) if loaded else ""


def _is_file(document: str) -> bool:
    """Whether a document is MusicXML, not our own MEI."""
    return "<score-partwise" in document[:2000]


def midi(document: str, transpose: str = "") -> bytes:
    """A document as the engraver would play it, as a Standard MIDI File, for tests that compare the
    drawn notes with the intended ones. Raises EngravingError."""
    with _log():
        toolkit = _toolkit(for_comparison=True)
        toolkit.resetOptions()
        if transpose:
            toolkit.setOptions({"transpose": transpose})
        if not toolkit.loadData(document):
            raise EngravingError("nothing was read")
        return base64.b64decode(toolkit.renderToMIDI())


@lru_cache(maxsize=2)
def _toolkit(for_comparison: bool = False) -> verovio.toolkit:
    """This process's one toolkit with our options (making one takes as long as several drawings),
    or the one with changing options that comparisons use."""
    import verovio  # late: an unchanged build draws nothing

    verovio.enableLog(verovio.LOG_WARNING)
    toolkit = verovio.toolkit()
    if not for_comparison:
        toolkit.setOptions(_OPTIONS)
    return toolkit


@contextmanager
def _log() -> Iterator[list[str]]:
    """Collect what the engraver, which is not Python code, writes to the standard error stream. The
    list is filled when the block ends; lines that are not the engraver's are written to the stream
    after all."""
    lines: list[str] = []
    try:
        stream = os.dup(2)
    except OSError:  # no error stream: nothing to read, and nowhere to pass it on
        yield lines
        return
    captured = _capture_file()
    sys.stderr.flush()
    os.dup2(captured.fileno(), 2)
    try:
        yield lines
    finally:
        sys.stderr.flush()
        os.dup2(stream, 2)
        os.close(stream)
        if captured.tell():  # something was written, which is rare
            captured.seek(0)
            for line in captured.read().decode(errors="replace").splitlines():
                level, bracket, text = line.partition("] ")
                if level in ("[Error", "[Warning") and bracket:
                    lines.append(text.strip())
                elif line.strip():
                    sys.stderr.write(f"{line}\n")
            captured.seek(0)
            captured.truncate()


@lru_cache(maxsize=1)
def _capture_file() -> IO[bytes]:
    """The file to which the error stream is redirected, one for the whole process."""
    return tempfile.TemporaryFile(buffering=0)
