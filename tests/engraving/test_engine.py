"""The engraver's failures are seen, and its drawings depend on nothing but what is given."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import engine
from chorus_handbook.engraving.engine import (
    MARGIN_UNITS,
    EngravingError,
    Options,
    draw,
    midi,
    raw_svg,
)
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
    ("right", "wrong", "message"),
    [
        ('pname="a"', 'pname="z"', "PITCHNAME"),
        ('dur="1"', 'dur="99"', "dur"),
        ('tie="t"', "", "tie"),
    ],
)
def test_a_warning_of_the_engraver_is_an_error(
    right: str, wrong: str, message: str, document: str
) -> None:
    assert right in document
    with pytest.raises(EngravingError, match=message):
        draw(document.replace(right, wrong))


@pytest.mark.parametrize(("what", "lost"), [("note", "every note"), ("measure", "every bar")])
def test_what_was_lost_on_the_way_is_an_error(
    what: str, lost: str, document: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    svg = raw_svg(document).replace(f'class="{what}"', 'class="lost"', 1)
    monkeypatch.setattr(engine, "raw_svg", lambda *_: svg)
    with pytest.raises(EngravingError, match=lost):
        draw(document)


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
    with pytest.raises(EngravingError):
        draw(document.replace('pname="a"', 'pname="z"'))
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


def test_a_note_that_is_lost_from_a_file_is_an_error(
    file_text: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    xml = file_text("21a")
    jobs = [{"xml": xml, "options": {}}] * 2
    first, second = engine.draw_files(jobs)
    assert first == second and "picture" in first
    svg = raw_svg(xml).replace('id="voice0-1"', 'id="other"')
    monkeypatch.setattr(engine, "raw_svg", lambda *_: svg)
    assert engine.draw_files(jobs) == [{"error": "1 of 2 notes were not drawn"}]


@pytest.mark.parametrize("broken", ["", "<score-partwise", "<score-partwise/>"])
def test_what_is_no_file_is_an_error(broken: str) -> None:
    (answer,) = engine.draw_files([{"xml": broken, "options": {}}])
    assert list(answer) == ["error"]
