"""The engraver's failures are seen, and its drawings depend on nothing but what is given."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import engine
from chorus_handbook.engraving.compact import read_drawing
from chorus_handbook.engraving.engine import (
    MARGIN_UNITS,
    EngravingError,
    Options,
    draw,
    midi,
    raw_svg,
)
from chorus_handbook.engraving.losses import losses
from chorus_handbook.engraving.mei import write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.pitch import Pitch


@pytest.fixture(scope="module")
def document(build: Any, chorus: Chorus) -> str:
    """The MEI of a small score."""
    events = [build.sung(0, 3, "la"), build.sung(4, 5, "lu-"), build.sung(2, 4, "li")]
    score = build.score(build.together(list(chorus.voices), events))
    return write_mei(write(score, chorus), Pitch.parse("D4"))


@pytest.mark.parametrize("broken", ["", "<mei", "<mei/>", "no music"])
def test_what_cannot_be_read_is_an_error(broken: str) -> None:
    with pytest.raises(EngravingError):
        draw(broken)
    with pytest.raises(EngravingError):
        midi(broken)


@pytest.mark.parametrize(
    ("right", "wrong", "log"),
    [
        ('tie="t"', "", "tie"),
        ("<syl>", '<syl con="u">', "extender"),
        ("</measure>", '<hairpin form="cres" tstamp="1" tstamp2="0m+1"/></measure>', ""),
    ],
)
def test_no_log_line_of_the_engraver_is_fatal_by_itself(
    right: str, wrong: str, log: str, document: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines: list[str] = []
    logged = engine._log

    @contextmanager
    def noted() -> Iterator[list[str]]:
        with logged() as found:
            yield found
        lines.extend(found)

    monkeypatch.setattr(engine, "_log", noted)
    assert right in document
    picture = draw(document.replace(right, wrong))
    assert picture.body.count("<g id=") == document.count("<note ")
    assert log in " ".join(lines)


@pytest.mark.parametrize(
    ("lost", "message"),
    [
        ('class="note"', r"1 of \d+ notes were not drawn"),
        ('class="measure"', r"1 of \d+ bars were not drawn"),
        ('class="staff"', "a staff is missing from some bars"),
        (">lu<", r"1 of \d+ syllables were not drawn \(“lu”\)"),
    ],
)
def test_what_is_missing_from_a_drawing_is_an_error(
    lost: str, message: str, document: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the log as the reason, as far as it may be one."""
    toolkit = engine._toolkit()

    class Losing:
        """The toolkit, but with something missing from its drawing."""

        def __getattr__(self, name: str) -> Any:
            return getattr(toolkit, name)

        def renderToSVG(self, page: int) -> str:  # noqa: N802
            os.write(2, b"[Warning] Something is wrong\n")
            svg = str(toolkit.renderToSVG(page))
            assert lost in svg
            return svg.replace(lost, "><" if lost[0] == ">" else 'class="lost"', 1)

    monkeypatch.setattr(engine, "_toolkit", Losing)
    with pytest.raises(EngravingError, match=message) as error:
        draw(document)
    assert str(error.value).endswith("(the engraver says: Something is wrong)")


def test_an_error_stream_line_of_others_is_passed_on(
    document: str, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from chorus_handbook.engraving import engine

    toolkit = engine._toolkit()

    class Talking:
        """The toolkit, with something else writing to the error stream meanwhile."""

        def __getattr__(self, name: str) -> Any:
            return getattr(toolkit, name)

        def loadData(self, mei: str) -> Any:  # noqa: N802
            os.write(2, b"someone else speaks\n")
            return toolkit.loadData(mei)

    monkeypatch.setattr(engine, "_toolkit", Talking)
    raw_svg(document)
    assert capfd.readouterr().err == "someone else speaks\n"


def test_the_engraver_leaves_the_error_stream_alone(
    document: str, capfd: pytest.CaptureFixture[str]
) -> None:
    draw(document.replace('tie="t"', ""))
    os.write(2, b"still here\n")
    assert capfd.readouterr().err == "still here\n"


def test_drawings_do_not_depend_on_what_was_drawn_before(document: str) -> None:
    first = draw(document)
    draw(document.replace('keysig="2s"', 'keysig="2f"'), Options(width=20000))
    midi(document)
    assert draw(document) == first
    assert raw_svg(document) == raw_svg(document)  # the engraver's own ids included


def test_two_processes_draw_the_same_bytes(document: str) -> None:
    script = (
        "import sys, hashlib\n"
        "from chorus_handbook.engraving.engine import draw\n"
        "picture = draw(sys.stdin.read())\n"
        "print(hashlib.sha256(repr(picture).encode()).hexdigest())\n"
    )
    command = [sys.executable, "-c", script]
    digests = {
        subprocess.run(
            command,
            input=document,
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(digests) == 1


def test_systems_are_spread_to_the_page(document: str) -> None:
    broken = document.replace('<measure n="2"', '<sb/><measure n="2"')
    for width in (9000, 12000):
        picture = draw(broken, Options(width=width))
        assert picture.box[2] == width
        assert picture.measures[0][2] == pytest.approx(width - 2 * MARGIN_UNITS, abs=20)


def test_what_is_lost_from_a_file_is_an_error(file_text: Any) -> None:
    xml = file_text("21a")
    jobs = [{"xml": xml, "options": {}}] * 2
    first, second = engine.draw_files(jobs)
    assert first == second and "svg" in first
    svg = raw_svg(xml)
    assert losses(xml, read_drawing(svg)[1]) == []
    without = svg.replace('id="voice0-1"', 'id="other"')
    assert losses(xml, read_drawing(without)[1]) == ["1 of 2 notes were not drawn"]


@pytest.mark.parametrize("broken", ["", "<score-partwise", "<score-partwise/>"])
def test_what_is_no_file_is_an_error(broken: str) -> None:
    (answer,) = engine.draw_files([{"xml": broken, "options": {}}])
    assert list(answer) == ["error"]
