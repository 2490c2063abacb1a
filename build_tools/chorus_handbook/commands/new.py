"""`handbook new`: a new exercise file that passes `check` from the start.

What the flags do not say is asked, where there is somebody to ask.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from chorus_handbook import report
from chorus_handbook.chorus import read_setting
from chorus_handbook.chorus.model import IMPACT_WORDS, Vocabulary
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.entries.draft import draft
from chorus_handbook.problems import did_you_mean
from chorus_handbook.source.names import as_name

NAME = "new"
SUMMARY = "Write a new exercise: asks for what it needs, or takes it from flags"


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to know of a new exercise: its flag, how to ask, how to read the answer (raises
    ValueError with a sentence for the author), and the answer when Enter is pressed."""

    name: str
    ask: str
    read: Callable[[str, Vocabulary], Any]
    default: Callable[[dict[str, Any], Vocabulary], str] = lambda _known, _vocabulary: ""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--title")
    parser.add_argument("--summary", help="one line that says what it is")
    parser.add_argument("--goal", action="append", metavar="GOAL", help="may be given repeatedly")
    parser.add_argument("--sounding", help="the manner, a word from vocabulary.yml")
    parser.add_argument("--impact", help="1 to 5")
    parser.add_argument("--minutes", help="with talk")
    parser.add_argument(
        "--silent", action="store_true", default=None, help="no notation: body, breath, speech"
    )


def run(project: Project, options: argparse.Namespace) -> int:
    root = project.root
    setting, problems = read_setting(root)
    if setting.vocabulary is None or setting.chorus is None:
        print(report.as_text(problems), file=sys.stderr)
        print("handbook new: mend these files first.", file=sys.stderr)
        return 1
    known = _answers(options, setting.vocabulary)
    path = root / "exercises" / f"{as_name(known['title'])}.md"
    if path.exists():
        raise WrongUsageError(f"{path} is there already; choose another title")
    text = draft(
        title=known["title"],
        summary=known["summary"],
        goals=known["goal"],
        impact=known["impact"],
        sounding=known["sounding"],
        minutes=known["minutes"],
        notated=not known["silent"],
    )
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except OSError as failure:
        raise WrongUsageError(f"cannot write {path}: {failure.strerror}") from failure
    print("Written. Fill in what stands in [brackets], then: handbook check", file=sys.stderr)
    print(path)
    return 0


def _answers(options: argparse.Namespace, vocabulary: Vocabulary) -> dict[str, Any]:
    """Every answer, from the flags or from the person at the keyboard."""
    flags = {question.name: getattr(options, question.name) for question in QUESTIONS}
    missing = [f"--{n}" for n, value in flags.items() if value is None and n != "silent"]
    asking = sys.stdin.isatty() and bool(missing)
    if missing and not asking:
        raise WrongUsageError(f"please say also {', '.join(missing)}")
    known: dict[str, Any] = {}
    for question in QUESTIONS:
        given = flags[question.name]
        if given is not None:
            text = ", ".join(given) if isinstance(given, list) else str(given)
            try:
                known[question.name] = question.read(text, vocabulary)
            except ValueError as mistake:
                raise WrongUsageError(f"--{question.name}: {mistake}") from mistake
        elif asking:
            known[question.name] = _asked(question, known, vocabulary)
        else:
            known[question.name] = False  # only --silent may be left out
    return known


def _asked(question: Question, known: dict[str, Any], vocabulary: Vocabulary) -> Any:
    """Ask until the answer can be used."""
    default = question.default(known, vocabulary)
    prompt = question.ask + (f" [{default}]" if default else "") + ": "
    while True:
        try:
            answer = input(prompt).strip() or default
        except EOFError as gone:
            raise WrongUsageError("nothing was written, for the answers ended early") from gone
        try:
            return question.read(answer, vocabulary)
        except ValueError as mistake:
            print(f"  {mistake}", file=sys.stderr)


def _title(text: str, _: Vocabulary) -> str:
    if not as_name(text):
        raise ValueError("a title needs a few letters, for the file is named after it")
    if len(text) > 80:
        raise ValueError("a title fits in 80 characters")
    return text.strip()


def _line(text: str, _: Vocabulary) -> str:
    if not text.strip() or len(text) > 300:
        raise ValueError("write one short line")
    return text.strip()


def _goals(text: str, vocabulary: Vocabulary) -> list[str]:
    names = [name for name in re.split(r"[,\s]+", text) if name]
    if not names:
        raise ValueError(f"name at least one goal: {', '.join(vocabulary.goals)}")
    for name in names:
        _known(name, vocabulary.goals, "goal")
    return list(dict.fromkeys(names))


def _sounding(text: str, vocabulary: Vocabulary) -> str:
    return _known(text.strip(), vocabulary.soundings, "sounding")


def _known(name: str, words: dict[str, Any], kind: str) -> str:
    if name not in words:
        raise ValueError(
            f'"{name}" is no {kind} of vocabulary.yml.{did_you_mean(name, words)} '
            f"Known: {', '.join(words)}"
        )
    return name


def _impact(text: str, _: Vocabulary) -> int:
    if text.strip() not in {"1", "2", "3", "4", "5"}:
        raise ValueError("impact is a number, 1 to 5")
    return int(text)


def _lowest_impact(known: dict[str, Any], vocabulary: Vocabulary) -> str:
    return str(vocabulary.soundings[known["sounding"]].lowest_impact)


def _minutes(text: str, _: Vocabulary) -> float:
    if not re.fullmatch(r"\d{1,2}(\.\d+)?", text.strip()) or not 0 < float(text) <= 60:
        raise ValueError("minutes is a number up to 60, such as 3 or 1.5")
    return float(text)


def _silent(text: str, _: Vocabulary) -> bool:
    if text.lower() not in {"y", "yes", "n", "no", "true"}:
        raise ValueError("please answer y or n")
    return text.lower() in {"n", "no", "true"}


QUESTIONS = (
    Question("title", "Title", _title),
    Question("summary", "What is it, in one line", _line),
    Question("goal", "Goals, from vocabulary.yml, the leading one first", _goals),
    Question("sounding", "Manner of sounding, from vocabulary.yml", _sounding),
    Question(
        "impact",
        "Impact, " + ", ".join(f"{number} {word}" for number, word in IMPACT_WORDS.items()),
        _impact,
        _lowest_impact,
    ),
    Question("minutes", "Minutes, with talk", _minutes),
    Question("silent", "Has it notes (y/n)", _silent, lambda _known, _vocabulary: "y"),
)
