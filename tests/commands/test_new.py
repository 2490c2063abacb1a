"""`handbook new`: whatever it accepts, `check` accepts, but for what it announces."""

from __future__ import annotations

import contextlib
import io
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.cli import main
from chorus_handbook.commands.new import _keys
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.pipeline import check

DEMO = Path(__file__).parents[2] / "handbook"
VOCABULARY = read_chorus_config(DEMO)[0].vocabulary
assert VOCABULARY
MANNERS = sorted(VOCABULARY.soundings)
GOALS = sorted(VOCABULARY.goals)


@pytest.fixture(scope="module")
def words(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with the demo's chorus and words, and one exercise."""
    folder = tmp_path_factory.mktemp("new")
    (folder / "handbook" / "exercises").mkdir(parents=True)
    shutil.copy(DEMO / "chorus.yml", folder / "handbook")
    # Without the everyday words, which lead to the demo's other exercises.
    vocabulary, _, _ = (DEMO / "vocabulary.yml").read_text("utf-8").partition("\nwords:\n")
    (folder / "handbook" / "vocabulary.yml").write_text(f"{vocabulary}\n", "utf-8")
    shutil.copy(DEMO / "exercises" / "slipway.md", folder / "handbook" / "exercises")
    text = (folder / "handbook" / "exercises" / "slipway.md").read_text("utf-8")
    alone = [line for line in text.split("\n") if not line.startswith(("related", "leads_to"))]
    (folder / "handbook" / "exercises" / "slipway.md").write_text("\n".join(alone), "utf-8")
    assert check(folder / "handbook") == []
    return folder


def run(project: Path, *words: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = main(["--project", str(project), "new", *words])
        except SystemExit as left:
            code = int(left.code or 0)
    return code, out.getvalue(), err.getvalue()


LINES = st.text(st.characters(exclude_categories=("Cs",)), max_size=90).filter(
    lambda text: not text.startswith("-")
)


FLAGS = {
    "title": "Rope walk",
    "summary": "Five notes.",
    "goals": ["blend"],
    "sounding": "hum",
    "impact": "2",
    "minutes": "3",
}
#: Flags of which one is anything at all, and the others are as they should be.
ONE_WILD = st.one_of(
    LINES.map(lambda text: FLAGS | {"title": text}),
    st.sampled_from(["Index", "Slipway", "downthe slipway", "Rope\u200bwalk", "7"]).map(
        lambda text: FLAGS | {"title": text}
    ),
    LINES.map(lambda text: FLAGS | {"summary": text}),
    LINES.map(lambda text: FLAGS | {"plain": text}),
    st.sampled_from(["Falling threes on a lip trill", "falling threes on a  LIP trill"]).map(
        lambda text: FLAGS | {"plain": text}  # taken
    ),
    st.sampled_from(["0", "1", "3", "4", "1.0", " ", "ii"]).map(
        lambda level: FLAGS | {"level": level}
    ),
    st.lists(st.sampled_from(GOALS), min_size=1, max_size=9).map(
        lambda goals: FLAGS | {"goals": goals}
    ),
    st.tuples(st.sampled_from([*MANNERS, "none"]), st.sampled_from("0 1 2 3 4 5 6 x".split())).map(
        lambda pair: FLAGS | {"sounding": pair[0], "impact": pair[1]}
    ),
    st.sampled_from("0 0.01 0.2 1 1.5 60 61 nan 1e1 ²".split()).map(
        lambda minutes: FLAGS | {"minutes": minutes}
    ),
)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(flags=ONE_WILD, silent=st.booleans())
def test_what_new_accepts_check_accepts(
    words: Path, flags: dict[str, str | list[str]], silent: bool
) -> None:
    folder = words / "handbook" / "exercises"
    before = set(folder.iterdir())
    code, out, err = run(
        words,
        *(f"--{name}={value}" for name, value in flags.items() if name != "goals"),
        *(f"--goal={goal}" for goal in flags["goals"]),
        *(["--silent"] if silent else []),
    )
    new = set(folder.iterdir()) - before
    try:
        if code:
            assert code == 2 and not new and err.count("\n") == 1
            return
        (path,) = new
        assert out == f"{path}\n" and "[brackets]" in err
        problems = check(words / "handbook")
        assert {p.code for p in problems if p.severity == "error"} == {"placeholder"}
        assert {p.place.path for p in problems} == {f"handbook/exercises/{path.name}"}
        manner = VOCABULARY.soundings[str(flags["sounding"])]
        text = path.read_text("utf-8")
        assert ("all: 1" in text) == (manner.notation == "sung" and not silent)
        assert ("all: x" in text) == (manner.notation == "spoken" and not silent)
    finally:
        for path in new:
            path.unlink()


@pytest.mark.parametrize("manner", MANNERS)
def test_every_manner_has_a_beginning(words: Path, manner: str) -> None:
    impact = str(VOCABULARY.soundings[manner].lowest_impact)
    flags = ("--title=Rope walk", "--summary=Five notes.", "--goal=blend", "--minutes=3")
    code, out, err = run(words, *flags, f"--sounding={manner}", f"--impact={impact}")
    assert code == 0, err
    problems = check(words / "handbook")
    Path(out.strip()).unlink()
    assert [problem.code for problem in problems] == ["placeholder"]


def test_speech_and_silence_are_not_sung() -> None:
    kinds = {name: manner.notation for name, manner in VOCABULARY.soundings.items()}
    assert kinds["silent"] == kinds["breath"] == "none"
    assert kinds["speech"] == kinds["whisper"] == "spoken"
    assert kinds["hum"] == kinds["lip-trill"] == kinds["vowel"] == "sung"


RANGES = st.tuples(st.integers(30, 80), st.integers(8, 25), st.integers(-2, 1))


@given(st.lists(RANGES, min_size=1, max_size=4), st.booleans())
def test_a_new_exercise_begins_in_a_key_that_somebody_can_sing(
    ranges: list[tuple[int, int, int]], climb: bool
) -> None:
    from chorus_handbook.pitch import named

    chorus = Chorus.model_validate(
        {
            "name": "A",
            "voices": {
                f"v{n}": {
                    "label": "V",
                    "clef": "treble",
                    "octave": octave,
                    "comfortable": f"{named(low)} to {named(low + width)}",
                    "limits": f"{named(low)} to {named(low + width)}",
                }
                for n, (low, width, octave) in enumerate(ranges)
            },
        }
    )
    keys, _, leave = _keys(chorus, climb=climb).partition("\n")
    tonic = KeyPath.parse(keys).start.midi
    able = [
        low <= tonic + 12 * octave and tonic + 12 * octave + 4 <= low + width
        for low, width, octave in ranges
    ]
    reachable = [
        any(low <= t + 12 * octave and t + 12 * octave + 4 <= low + width for t in range(42, 79))
        for low, width, octave in ranges
    ]
    assert any(able) or not any(reachable)
    assert all(able) or leave == "step_out: allowed"
