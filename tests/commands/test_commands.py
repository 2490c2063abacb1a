"""Every command, with right input and wrong."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

Run = Callable[..., tuple[int, str, str]]


def low_tide(project: Path) -> Path:
    return project / "handbook" / "exercises" / "low-tide.md"


def change(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


# -- check --------------------------------------------------------------------------------


def test_check_is_quiet_when_all_is_well(project: Path, handbook: Run) -> None:
    assert handbook("--project", project, "check") == (0, "", "No problems found.\n")


def test_check_takes_the_handbook_folder_itself_too(project: Path, handbook: Run) -> None:
    assert handbook("--project", project / "handbook", "check")[0] == 0


def test_check_prints_place_code_message_and_hint(project: Path, handbook: Run) -> None:
    change(low_tide(project), "impact: 2", "impact: 7")
    code, out, err = handbook("--project", project, "check")
    head, hint = out.splitlines()
    assert code == 1
    assert re.fullmatch(r"handbook/exercises/low-tide\.md:5:\d+: error\[field-value\] .+", head)
    assert hint.startswith("    ") and hint.strip()
    assert err == "1 error.\n"


def test_notices_fail_only_when_strict(project: Path, handbook: Run) -> None:
    change(low_tide(project), "minutes: 2", "minutes: 0.1")
    code, out, _ = handbook("--project", project, "check")
    assert code == 0 and "notice[minutes-claim]" in out
    assert handbook("--project", project, "check", "--strict")[0] == 1


def test_a_notice_can_be_answered(project: Path, handbook: Run) -> None:
    change(
        low_tide(project),
        "minutes: 2",
        "minutes: 0.1\nanswers:\n  minutes-claim: We only ever sing the first key.",
    )
    assert handbook("--project", project, "check", "--strict")[:2] == (0, "")


def test_check_speaks_json_and_github(project: Path, handbook: Run) -> None:
    change(low_tide(project), "impact: 2", "impact: 7")
    _, out, _ = handbook("--project", project, "check", "--format", "json")
    (row,) = json.loads(out)
    assert row["path"] == "handbook/exercises/low-tide.md"
    assert (row["line"], row["severity"], row["code"]) == (5, "error", "field-value")
    assert row["message"] and row["hint"]
    _, out, _ = handbook("--project", project, "check", "--format", "github")
    assert out.startswith("::error file=handbook/exercises/low-tide.md,line=5,col=")


# -- measure, schema ----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["low-tide", "low-tide.md", "handbook/exercises/low-tide.md"])
def test_measure_gives_the_facts_as_json(project: Path, handbook: Run, name: str) -> None:
    code, out, _ = handbook("--project", project, "measure", name, "--format", "json")
    facts = json.loads(out)
    assert code == 0
    assert facts["slug"] == "low-tide" and facts["tempo"] == 84
    assert facts["seconds_per_pass"] == pytest.approx(8 * 60 / 84, abs=0.001)
    assert facts["largest_interval"] == 2 and facts["step_share"] == 1
    assert facts["longest_phrase_seconds"] == pytest.approx(7 * 60 / 84, abs=0.001)
    bass = next(voice for voice in facts["voices"] if voice["voice"] == "bass")
    assert (bass["lowest"], bass["lowest_midi"]) == ("C3", 48)
    assert (bass["highest"], bass["highest_midi"]) == ("E3", 52)
    assert (bass["ambitus_semitones"], bass["notes"], bass["syllables"]) == (4, 5, 1)


def test_measure_speaks_to_people_too(project: Path, handbook: Run) -> None:
    code, out, _ = handbook("--project", project, "measure", "low-tide")
    assert code == 0 and "soprano" in out.lower() and "C4" in out


def test_measure_helps_with_a_slip(project: Path, handbook: Run) -> None:
    code, out, err = handbook("--project", project, "measure", "low-tied")
    assert (code, out) == (2, "") and 'Did you mean "low-tide"?' in err


def test_measure_says_when_there_is_nothing_to_measure(project: Path, handbook: Run) -> None:
    text = low_tide(project).read_text(encoding="utf-8")
    text = re.sub(r"```degrees.*?```\n", "", text, flags=re.S)
    low_tide(project).write_text(re.sub(r"(tempo|keys): .*\n", "", text), encoding="utf-8")
    code, out, err = handbook("--project", project, "measure", "low-tide")
    assert (code, out) == (1, "") and "no notes" in err


def test_measure_takes_a_notice_for_no_error(project: Path, handbook: Run) -> None:
    """An exercise without notes that draws a notice can still be read."""
    text = low_tide(project).read_text(encoding="utf-8")
    text = re.sub(r"```degrees.*?```\n", "", text, flags=re.S)
    text = re.sub(r"(tempo|keys): .*\n", "", text).replace("1. Hum it.", "1. (2 s) Hum it.")
    low_tide(project).write_text(text, encoding="utf-8")
    code, out, err = handbook("--project", project, "measure", "low-tide")
    assert (code, out) == (1, "")
    assert "notice[steps-claim]" in err and "no notes" in err and "could not be" not in err


def test_measure_says_when_errors_are_in_the_way(project: Path, handbook: Run) -> None:
    change(low_tide(project), "1 2 3 2", "12 3 2")
    code, out, err = handbook("--project", project, "measure", "low-tide")
    assert (code, out) == (1, "")
    assert "error[notation-token]" in err and "because of the errors above" in err


def test_measure_blames_other_files_when_they_are_in_the_way(project: Path, handbook: Run) -> None:
    change(project / "handbook" / "chorus.yml", "clef: bass", "clef: base")
    code, out, err = handbook("--project", project, "measure", "low-tide")
    assert (code, out) == (1, "")
    assert "other files" in err and "no notes" not in err


def test_measure_leaves_out_problems_of_a_page_with_the_same_name(
    project: Path, handbook: Run
) -> None:
    page = project / "handbook" / "low-tide.md"
    page.write_text("# Low tide\n\n[nowhere](nowhere.md)\n", encoding="utf-8")
    code, out, err = handbook("--project", project, "measure", "low-tide")
    assert code == 0 and "C4" in out and err == ""


def test_the_schema_is_one_and_accepts_what_check_accepts(handbook: Run, tmp_path: Path) -> None:
    code, out, _ = handbook("schema")
    schema = json.loads(out)
    assert code == 0
    jsonschema.Draft202012Validator.check_schema(schema)
    front = {
        "title": "A",
        "summary": "B",
        "goals": ["x"],
        "impact": 2,
        "sounding": "hum",
        "minutes": 1,
    }
    jsonschema.validate(front, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**front, "impact": 9}, schema)
    assert handbook("schema", "--output", tmp_path / "s.json")[0] == 0
    assert json.loads((tmp_path / "s.json").read_text()) == schema
    assert handbook("schema", "--output", tmp_path / "none" / "s.json")[0] == 2


# -- new ----------------------------------------------------------------------------------

FLAGS = (
    *("--title", "Rope walk", "--summary", "Five notes: up and down."),
    *("--goal", "resonance", "--impact", "2", "--sounding", "hum", "--minutes", "2"),
)


@pytest.mark.parametrize("extra", [(), ("--silent",)])
def test_new_writes_a_file_that_passes_check_once_it_is_filled_in(
    project: Path, handbook: Run, fill_in: Callable[[], None], extra: tuple[str, ...]
) -> None:
    code, out, err = handbook("--project", project, "new", *FLAGS, *extra)
    assert code == 0, err
    assert out.strip().endswith("rope-walk.md")
    code, out, _ = handbook("--project", project, "check")
    ((head, hint),) = [out.splitlines()]
    assert code == 1 and "rope-walk.md" in head and "error[placeholder]" in head
    lines = re.findall(r"\d+", hint)
    text = (project / "handbook" / "exercises" / "rope-walk.md").read_text("utf-8").splitlines()
    assert len(lines) >= 10 and all("[" in text[int(line) - 1] for line in lines)
    fill_in()
    assert handbook("--project", project, "check", "--strict")[:2] == (0, "")


def test_new_overwrites_nothing(project: Path, handbook: Run) -> None:
    assert handbook("--project", project, "new", *FLAGS)[0] == 0
    before = (project / "handbook" / "exercises" / "rope-walk.md").read_bytes()
    code, _, err = handbook("--project", project, "new", *FLAGS)
    assert code == 2 and "rope-walk" in err
    assert (project / "handbook" / "exercises" / "rope-walk.md").read_bytes() == before


@pytest.mark.parametrize(
    ("flag", "value", "word"),
    [
        ("--goal", "resonanse", 'Did you mean "resonance"?'),
        ("--sounding", "humm", 'Did you mean "hum"?'),
        ("--impact", "6", "1 to 5"),
        ("--impact", "two", "1 to 5"),
        ("--minutes", "-1", "minutes"),
        ("--title", "  ", "title"),
        ("--title", "???", "title"),
        ("--title", "Index", "index.md"),
        ("--title", "Low tide", "low-tide.md exists already"),
        ("--title", "Lowtide", "low-tide.md"),  # told apart by a space alone
        ("--title", "T" * 81, "80"),
        ("--title", "Rope\u200bwalk", "U+200B"),
        ("--summary", "", "short line"),
        ("--summary", "two\nlines", "one line"),
        ("--impact", "1", '"hum" the impact is at least 2'),
        ("--minutes", "0", "minutes"),
    ],
)
def test_new_refuses_what_check_would_refuse(
    project: Path, handbook: Run, flag: str, value: str, word: str
) -> None:
    flags = list(FLAGS)
    flags[flags.index(flag) + 1] = value
    code, _, err = handbook("--project", project, "new", *flags)
    assert code == 2 and word in err
    assert "Traceback" not in err
    assert [f.name for f in (project / "handbook" / "exercises").iterdir()] == ["low-tide.md"]


def keyboard(monkeypatch: pytest.MonkeyPatch, *answers: str) -> list[str]:
    """Someone who gives these answers and then presses Ctrl-D; gathers what they are asked."""
    left = iter(answers)
    asked: list[str] = []

    def type_in(prompt: str = "") -> str:
        asked.append(prompt)
        try:
            return next(left)
        except StopIteration:
            raise EOFError from None

    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("builtins.input", type_in)
    return asked


def test_new_asks_for_what_is_missing(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch, fill_in: Callable[[], None]
) -> None:
    answers = ["Rope walk", "Notes on a hum", "Five notes.", "resonanse", "resonance", "hum", ""]
    keyboard(monkeypatch, *answers, "four", "2", "two", "2", "n")
    code, out, err = handbook("--project", project, "new")
    assert code == 0, err
    assert 'Did you mean "resonance"?' in err and "level is a number from 1 to 3" in err
    text = Path(out.strip()).read_text("utf-8")
    assert "plain: Notes on a hum\n" in text and "level: 2\n" in text
    fill_in()
    assert handbook("--project", project, "check", "--strict")[0] == 0


def test_new_lists_the_words_to_choose_from(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    keyboard(monkeypatch, "Rope walk", "", "Five notes.")
    code, _, err = handbook("--project", project, "new")
    assert code == 2
    assert "  breath-flow  Breath flow\n  resonance    Resonance\n" in err
    assert "Hum" not in err  # the manners come with their own question
    keyboard(monkeypatch, "Rope walk", "", "Five notes.", "resonance")
    assert "  hum      Hum\n  calling  Calling\n" in handbook("--project", project, "new")[2]


def test_new_says_at_the_first_question_that_the_file_exists(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = keyboard(monkeypatch, "Low tide!", "Rope walk", "")
    code, _, err = handbook("--project", project, "new")
    assert "low-tide.md exists already" in err
    assert [prompt.split(":")[0] for prompt in asked] == [
        "Title",
        "Title",
        "Plain name, if the title does not say what it is",
        "What is it, in one line",
    ]
    assert code == 2 and err.endswith("the answers ended before the last question\n")
    assert not (project / "handbook" / "exercises" / "rope-walk.md").exists()


def test_new_refuses_wrong_flags_before_it_asks(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = keyboard(monkeypatch, "Rope walk")
    code, _, err = handbook("--project", project, "new", "--minutes", "ages")
    assert code == 2 and "--minutes" in err and asked == []


def test_new_without_standard_input_says_what_is_missing(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", None)
    code, _, err = handbook("--project", project, "new", "--title", "Rope walk")
    assert code == 2 and "--summary" in err


def test_new_on_a_full_disk_leaves_nothing(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    original = Path.open

    def full(_content: bytes) -> int:
        raise OSError(28, "No space left on device")

    class Full:
        def __init__(self, path: Path) -> None:
            self._file = original(path, "xb")

        def __enter__(self) -> Full:
            return self

        def __exit__(self, *_: object) -> None:
            self._file.close()

        write = staticmethod(full)

    monkeypatch.setattr(
        Path,
        "open",
        lambda path, mode="r", **more: Full(path) if mode == "xb" else original(path, mode, **more),
    )
    code, _, err = handbook("--project", project, "new", *FLAGS)
    assert code == 1 and "the disk is full" in err
    assert not (project / "handbook" / "exercises" / "rope-walk.md").exists()


def test_new_without_a_terminal_says_what_is_missing(project: Path, handbook: Run) -> None:
    code, _, err = handbook("--project", project, "new", "--title", "Rope walk")
    assert code == 2 and "--summary" in err and "--goal" in err


# -- build --------------------------------------------------------------------------------


def test_build_publishes_and_says_where(project: Path, handbook: Run) -> None:
    code, _, err = handbook("--project", project, "build")
    assert code == 0, err
    assert (project / "site" / "exercises" / "low-tide" / "index.html").is_file()
    message = err.splitlines()[-1]
    assert f"The site is in {project / 'site'}." in message
    assert f"--directory {project / 'site'}," in message and "handbook serve" not in message


def test_a_refused_build_leaves_the_old_site_alone(project: Path, handbook: Run) -> None:
    assert handbook("--project", project, "build")[0] == 0
    page = project / "site" / "exercises" / "low-tide" / "index.html"
    before = page.read_bytes()
    change(low_tide(project), "goals: [breath-flow]", "goals: [breth-flow]")
    code, out, _ = handbook("--project", project, "build")
    assert code == 1 and 'Did you mean "breath-flow"?' in out
    assert page.read_bytes() == before
    assert sorted(p.name for p in project.iterdir() if p.name.startswith(".site")) == []


def test_a_build_that_fails_half_way_leaves_the_old_site_alone(
    project: Path, handbook: Run
) -> None:
    assert handbook("--project", project, "build")[0] == 0
    before = {p: p.read_bytes() for p in (project / "site").rglob("*") if p.is_file()}
    change(project / "mkdocs.yml", "  - chorus-handbook", "  - chorus-handbook\n  - nothing")
    code, _, err = handbook("--project", project, "build")
    assert code == 1 and "nothing" in err
    assert {p: p.read_bytes() for p in (project / "site").rglob("*") if p.is_file()} == before


def test_strict_builds_refuse_notices(project: Path, handbook: Run) -> None:
    change(low_tide(project), "minutes: 2", "minutes: 0.1")
    assert handbook("--project", project, "build", "--strict")[0] == 1
    assert not (project / "site").exists()
    assert handbook("--project", project, "build")[0] == 0


@pytest.mark.parametrize("where", ["handbook", ".", "handbook/inside", "mkdocs.yml", "mine"])
def test_build_never_replaces_what_is_no_site(project: Path, handbook: Run, where: str) -> None:
    (project / "mine").mkdir()
    (project / "mine" / "letter.txt").write_text("keep")
    code, _, err = handbook("--project", project, "build", "--site-dir", project / where)
    assert code == 2 and "--site-dir" in err
    assert (project / "mine" / "letter.txt").read_text() == "keep"
    assert low_tide(project).is_file()


def test_a_site_offers_tracks_where_it_is_asked_to(project: Path, handbook: Run) -> None:
    change(project / "mkdocs.yml", "- chorus-handbook", "- chorus-handbook:\n      tracks: true")
    routine = project / "handbook" / "routines" / "evening.md"
    routine.parent.mkdir()
    routine.write_text("---\ntitle: Evening\nitems: [{exercise: low-tide}]\n---\n", "utf-8")
    code, _, err = handbook("--project", project, "build")
    assert code == 0 and "Making practice tracks" in err
    page = (project / "site" / "exercises" / "low-tide" / "index.html").read_text("utf-8")
    links = re.findall(r'<a href="([^"]+\.mp3)" download>(\w+)</a>', page)
    assert [label for _, label in links] == ["Soprano", "Alto", "Tenor", "Bass"]
    for address, _ in links:
        file = project / "site" / "exercises" / "low-tide" / address
        assert file.read_bytes()[:3] == b"ID3"
    evening = project / "site/routines/evening"
    (link,) = re.findall(r'<a href="([^"]+\.mp3)"', (evening / "index.html").read_text("utf-8"))
    assert b"CHAP" in (evening / link).read_bytes()[:1000]
    change(project / "mkdocs.yml", "tracks: true", "tracks: false")
    code, _, err = handbook("--project", project, "build")
    assert code == 0 and "practice tracks" not in err
    assert not list((project / "site").rglob("*.mp3"))
    for page in ("exercises/low-tide", "routines/evening"):
        assert ".mp3" not in (project / "site" / page / "index.html").read_text("utf-8")


def test_an_option_that_does_not_exist_is_told(project: Path, handbook: Run) -> None:
    change(project / "mkdocs.yml", "- chorus-handbook", "- chorus-handbook:\n      track: true")
    code, _, err = handbook("--project", project, "build")
    assert code == 0 and "Unrecognised configuration name: track" in err
    change(project / "mkdocs.yml", "track: true", "tracks: perhaps")
    code, _, err = handbook("--project", project, "build")
    assert code == 1 and "tracks" in err and "Traceback" not in err


def test_a_sound_font_that_cannot_be_played_stops_a_build(project: Path, handbook: Run) -> None:
    (project / "handbook" / "sounds").mkdir()
    (project / "handbook" / "sounds" / "our.sf2").write_bytes(b"RIFF\x04\0\0\0sfbk")
    with (project / "handbook" / "chorus.yml").open("a", encoding="utf-8") as file:
        file.write("sound_font: {file: sounds/our.sf2}\n")
    assert handbook("--project", project, "check")[0] == 0  # what is in it, only a build looks at
    for command in ("build", "tracks"):
        code, out, err = handbook("--project", project, command)
        assert code == 1 and "error[sound-font] The sound font is damaged" in out, err
    assert not (project / "site").exists() and not (project / "tracks").exists()


def test_two_builds_are_byte_equal(project: Path, handbook: Run) -> None:
    sites = []
    for name in ("one", "two"):
        os.environ.pop("SOURCE_DATE_EPOCH", None)
        assert handbook("--project", project, "build", "--site-dir", project / name)[0] == 0
        folder = project / name
        sites.append(
            {p.relative_to(folder): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
        )
    assert sites[0].keys() == sites[1].keys()
    assert [p for p in sites[0] if sites[0][p] != sites[1][p]] == []


# -- wrong usage --------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["check", "build", "serve", "new"])
def test_a_folder_without_a_handbook_is_wrong_usage(
    tmp_path: Path, handbook: Run, command: str
) -> None:
    code, _, err = handbook("--project", tmp_path, command)
    assert code == 2 and "handbook/chorus.yml" in err


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["sing"],
        ["check", "--format", "xml"],
        ["measure"],
        ["build", "--site-dir"],
        ["check", "--nothing"],
    ],
)
def test_wrong_words_are_wrong_usage(arguments: list[str], handbook: Run) -> None:
    code, _, err = handbook(*arguments)
    assert code == 2 and err.count("\n") == 1 and "--help` says what may be written" in err


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("chek", 'handbook: there is no command "chek"; did you mean "check"? `handbook --help`'),
        ("", "handbook: please name a command, such as check or build; `handbook --help`"),
        ("cue", "handbook cue: please also say WARM-UP; `handbook cue --help`"),
        ("cue x y", 'handbook cue: "y" is not expected here; `handbook cue --help`'),
        ("cue x --late soon", '--late: "soon" is not a whole number from 0 to 60; `handbook cue'),
        ("cue x --late 61", '--late: "61" is not a whole number from 0 to 60;'),
        ("plan --kind picnic", '--kind cannot be "picnic"; write one of these: weekly, short, con'),
        ("plan --title", "handbook plan: --title needs a value after it;"),
        ("plan --from-last --routine x", "--routine and --from-last do not go together;"),
        ("plan --from-last=3", "--from-last takes no value; leave out '3';"),
        ("plan --m x --e", "--exercise needs a value after it"),
        ("init --n y", "--n could be one of these: --name, --not-empty;"),
    ],
)
def test_mistakes_in_a_command_line_are_told_in_plain_words(
    line: str, words: str, handbook: Run
) -> None:
    code, _, err = handbook(*line.split())
    assert code == 2 and words in err and err.count("\n") == 1


@pytest.mark.parametrize("address", ["here", "127.0.0.1:70000", "127.0.0.1:", "a b:80"])
def test_serve_refuses_an_address_before_it_works(
    project: Path, handbook: Run, address: str
) -> None:
    code, _, err = handbook("--project", project, "serve", "--address", address)
    assert code == 2 and "127.0.0.1:8000" in err
