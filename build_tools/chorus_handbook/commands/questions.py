"""What has to be known of a new exercise: taken from flags, or asked where there is somebody to
ask."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from chorus_handbook.chorus.model import IMPACT_WORDS, Vocabulary
from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.problems import did_you_mean
from chorus_handbook.source.names import as_name


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to know of a new exercise: its flag, how to ask, how to read the answer (raises
    ValueError with a sentence for the author), and the answer when Enter is pressed."""

    name: str
    ask: str
    read: Callable[[str, Vocabulary], Any]
    default: Callable[[dict[str, Any], Vocabulary], str] = lambda _known, _vocabulary: ""


def add_flags(parser: argparse.ArgumentParser) -> None:
    """The flags of the questions that every new exercise has."""
    parser.add_argument("--title")
    parser.add_argument("--summary", help="one line that says what it is")
    parser.add_argument("--goal", action="append", metavar="GOAL", help="may be given repeatedly")
    parser.add_argument("--sounding", help="the manner, a word from vocabulary.yml")
    parser.add_argument("--impact", help="1 to 5")
    parser.add_argument("--minutes", help="with talk")


def answers(options: argparse.Namespace, vocabulary: Vocabulary) -> dict[str, Any]:
    """Every answer, from the flags or from the person at the keyboard."""
    flags = {question.name: getattr(options, question.name) for question in QUESTIONS}
    missing = [f"--{n}" for n, value in flags.items() if value is None and n != "silent"]
    asking = sys.stdin.isatty() and bool(missing)
    if missing and not asking:
        raise WrongUsageError(f"please say also {', '.join(missing)}")
    known: dict[str, Any] = {}
    for question in QUESTIONS:
        if flags[question.name] is not None:
            known[question.name] = _from_flag(question, flags[question.name], vocabulary)
        elif asking:
            known[question.name] = _asked(question, known, vocabulary)
        else:
            known[question.name] = False  # only --silent may be left out
    return known


def flags_only(options: argparse.Namespace, vocabulary: Vocabulary) -> dict[str, Any]:
    """The answers that flags give; what they do not say is None."""
    return {
        question.name: None if given is None else _from_flag(question, given, vocabulary)
        for question in QUESTIONS
        for given in [getattr(options, question.name, None)]
    }


def _from_flag(question: Question, given: object, vocabulary: Vocabulary) -> Any:
    text = ", ".join(given) if isinstance(given, list) else str(given)
    try:
        return question.read(text, vocabulary)
    except ValueError as mistake:
        raise WrongUsageError(f"--{question.name}: {mistake}") from mistake


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
