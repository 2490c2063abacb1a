"""Collects what a command that makes files must know, from its options or by asking at the
keyboard. Each answer is checked at once, by the rules of `handbook check`."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from chorus_handbook.chorus.model import IMPACT_WORDS, LEVEL_WORDS, Vocabulary
from chorus_handbook.claims.duplicate_titles import comparable
from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.entries.draft import in_yaml
from chorus_handbook.entries.model import EXERCISE, Entries, FrontMatter
from chorus_handbook.problems import Place, did_you_mean
from chorus_handbook.source import read_yaml, validate
from chorus_handbook.source.names import TAKEN_ADDRESSES, as_name
from chorus_handbook.source.text import FORBIDDEN


@dataclass(frozen=True, slots=True)
class Known:
    """What answers are checked against: the vocabulary of the chorus, the exercises that exist, the
    handbook's folder (None if there is no handbook yet), and the answers so far, by the names of
    their questions."""

    vocabulary: Vocabulary
    entries: Entries = field(default_factory=Entries)
    root: Path | None = None
    answers: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Question:
    """A question about a new file.

    name, ask: the flag that answers it, without "--", and the text to ask.
    read: reads the answer; raises ValueError with a sentence for the author.
    default: the answer when only Enter is pressed.
    choices: the words to choose from, with their labels.
    optional: whether the flag may be left out when there is nobody at the keyboard.
    applies: whether it is asked at all after the answers so far; if not, its answer is None.
    understood: a line that says how an answer was read.
    warning: why an answer may be a mistake. It is then asked again; the same answer is taken.
    listing: the lines that the answer "?" shows."""

    name: str
    ask: str
    read: Callable[[str, Known], Any]
    default: Callable[[Known], str] = lambda _: ""
    choices: Callable[[Vocabulary], Mapping[str, str]] = lambda _: {}
    optional: bool = False
    applies: Callable[[Known], bool] = lambda _: True
    understood: Callable[[Any], str] = lambda _: ""
    warning: Callable[[Any, Known], str] = lambda _, __: ""
    listing: Callable[[Known], Iterable[str]] = lambda _: ()


class UnknownNamesError(ValueError):
    """Some names in an answer are unknown. `names` are all names that were given, in order.
    `guesses` maps each unknown one to names that may have been meant, the best first."""

    def __init__(self, message: str, names: list[str], guesses: dict[str, list[str]]) -> None:
        super().__init__(message)
        self.names = names
        self.guesses = guesses


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Add the flags that answer the questions about a new exercise."""
    parser.add_argument("--title")
    parser.add_argument("--plain", help="what it is, where the title does not say")
    parser.add_argument("--summary", help="one line that says what it is")
    parser.add_argument("--goal", action="append", metavar="GOAL", help="may be given repeatedly")
    parser.add_argument("--sounding", help="its manner of sounding, as in vocabulary.yml")
    parser.add_argument("--impact", help="how much effort it asks of the voice, 1 to 5")
    parser.add_argument("--level", help="how soon it is learned, 1 to 3; left out, it is measured")
    parser.add_argument("--minutes", help="how long it takes the first time, with talk")


def answers(
    options: argparse.Namespace, known: Known, questions: Sequence[Question] | None = None
) -> dict[str, Any]:
    """The answers by the names of their questions, from flags or from the person at the keyboard.
    Raises WrongUsageError if flags are missing and there is nobody to ask."""
    questions = QUESTIONS if questions is None else questions
    flags = {question.name: getattr(options, question.name) for question in questions}
    missing = [f"--{q.name}" for q in questions if flags[q.name] is None and not q.optional]
    asking = bool(missing) and sys.stdin is not None and sys.stdin.isatty()
    if missing and not asking:
        raise WrongUsageError(f"please also say {', '.join(missing)}")
    for question in questions:  # check the flags first, before anyone is asked anything
        if flags[question.name] is not None:
            _from_flag(question, flags[question.name], known)
    for question in questions:
        if flags[question.name] is not None:
            answer = _from_flag(question, flags[question.name], known)
        elif not question.applies(known):
            answer = None
        elif asking:
            answer = _ask(question, known)
        else:
            answer = question.read(question.default(known), known)
        if not asking and (warning := question.warning(answer, known)):
            print(f"For your information: {warning}", file=sys.stderr)
        known.answers[question.name] = answer
    return known.answers


def flags_only(options: argparse.Namespace, vocabulary: Vocabulary) -> dict[str, Any]:
    """The answers to `QUESTIONS` that flags give; None for the others. Nobody is asked."""
    known = Known(vocabulary)
    for question in QUESTIONS:
        given = getattr(options, question.name, None)
        if given is not None:
            given = _from_flag(question, given, known)
        known.answers[question.name] = given
    return known.answers


def _from_flag(question: Question, given: object, known: Known) -> Any:
    """Read the value of a flag as an answer to its question. Raises WrongUsageError if it is not
    valid."""
    text = ", ".join(given) if isinstance(given, list) else str(given)
    try:
        return question.read(text, known)
    except ValueError as mistake:
        raise WrongUsageError(f"--{question.name}: {mistake}") from mistake


def _ask(question: Question, known: Known) -> Any:
    """Ask a question at the keyboard until the answer is valid, and return what was read."""
    choices = question.choices(known.vocabulary)
    width = max(map(len, choices), default=0)
    for word, label in choices.items():
        print(f"  {word:{width}}  {label}", file=sys.stderr)
    default, warned_of = question.default(known), None
    while True:
        text = _line(question, question.ask, default, known)
        try:
            answer = _read(question, text, known)
        except ValueError as mistake:
            print(f"  {mistake}", file=sys.stderr)
            continue
        if understood := question.understood(answer):
            print(f"  {understood}", file=sys.stderr)
        warning = question.warning(answer, known)
        if not warning or answer == warned_of:
            return answer
        print(f"  {warning} Press Enter to keep it, or write another.", file=sys.stderr)
        default, warned_of = text, answer


def _read(question: Question, text: str, known: Known) -> Any:
    """Read an answer. If it contains unknown names, only those are asked for again."""
    while True:
        try:
            return question.read(text, known)
        except UnknownNamesError as unknown:
            print(f"  {unknown}", file=sys.stderr)
            instead = {name: name for name in unknown.names}
            for name, guesses in unknown.guesses.items():
                ask = f'Instead of "{name}" (- leaves it out)'
                instead[name] = _line(question, ask, guesses[0] if guesses else "", known) or name
            text = ", ".join(instead[name] for name in unknown.names if instead[name] != "-")


def _line(question: Question, ask: str, default: str, known: Known) -> str:
    """Print the text `ask`, and return the line that is typed, or `default` when only Enter is
    pressed. "?" shows the listing of the question and asks again."""
    while True:
        try:
            text = input(ask + (f" [{default}]" if default else "") + ": ").strip() or default
        except EOFError as gone:
            print(file=sys.stderr)
            raise WrongUsageError(
                "nothing was written: the answers ended before the last question"
            ) from gone
        listing = [*question.listing(known)] if text == "?" else []
        if not listing:
            return text
        for line in listing:
            print(f"  {line}", file=sys.stderr)


def _title(text: str, known: Known) -> str:
    """Read the title of a new exercise. Raises ValueError if it cannot be used."""
    text = text.strip()
    slug = as_name(text)
    if not slug:
        raise ValueError("a title needs a few letters: the file is named after it")
    _check_text("title", text)
    if slug in TAKEN_ADDRESSES:
        raise ValueError(f"{slug}.md is the name of the list of exercises; choose another title")
    if known.root and (known.root / EXERCISE.page(slug)).exists():
        raise ValueError(f"{EXERCISE.page(slug)} exists already; choose another title")
    for entry in known.entries.entries:
        if comparable(entry.front.title) == comparable(text):
            raise ValueError(
                f'{entry.source.path} has the title "{entry.front.title}" already; choose another'
            )
    return text


def _summary(text: str, _: Known) -> str:
    if not text.strip():
        raise ValueError("write one short line")
    _check_text("summary", text.strip())
    return text.strip()


def _plain(text: str, known: Known) -> str | None:
    """Read the plain name of an exercise; None if it is left empty because the title is plain
    enough."""
    text = text.strip()
    if not text:
        return None
    _check_text("plain", text)
    for entry in known.entries.entries:
        if entry.front.plain and comparable(entry.front.plain) == comparable(text):
            raise ValueError(
                f'{entry.source.path} is called "{entry.front.plain}" already; choose another'
            )
    return text


def _check_text(name: str, text: str) -> None:
    """Raise ValueError for a text that `handbook check` would not accept in this field."""
    if unseen := FORBIDDEN.search(text):
        raise ValueError(f"delete the invisible character U+{ord(unseen[0]):04X}")
    _check_field(name, in_yaml(text))


def _check_field(name: str, written: str) -> None:
    """Raise ValueError, with the message of `handbook check`, for a value that is not valid."""
    document, problems = read_yaml(f"{name}: {written}", Place("new"))
    if document:
        _, found = validate(FrontMatter, document)
        problems = [*problems, *(problem for problem in found if problem.code != "field-missing")]
    for problem in problems:
        raise ValueError(f"{problem.message} {problem.hint}")


def _goals(text: str, known: Known) -> list[str]:
    goals = known.vocabulary.goals
    names = list(dict.fromkeys(name for name in re.split(r"[,\s]+", text) if name))
    if not names:
        raise ValueError(f"name at least one goal: {', '.join(goals)}")
    for name in names:
        _word(name, goals, "goal")
    _check_field("goals", f"[{', '.join(names)}]")
    return names


def _sounding(text: str, known: Known) -> str:
    return _word(text.strip(), known.vocabulary.soundings, "manner of sounding")


def _word(name: str, words: Iterable[str], kind: str) -> str:
    """Return `name` if it is one of the `words` of its kind. Raises ValueError if not."""
    words = list(words)
    if name not in words:
        raise ValueError(
            f'there is no {kind} "{name}" in vocabulary.yml.{did_you_mean(name, words)} '
            f"It has {', '.join(words)}"
        )
    return name


def _impact(text: str, known: Known) -> int:
    if text.strip() not in {"1", "2", "3", "4", "5"}:
        raise ValueError("impact is a number from 1 to 5")
    impact, sounding = int(text), known.answers.get("sounding")
    lowest = known.vocabulary.soundings[sounding].lowest_impact if sounding else 1
    if impact < lowest:
        raise ValueError(
            f'with the manner of sounding "{sounding}" the impact is at least {lowest} '
            f"({IMPACT_WORDS[lowest]}); write {lowest} or more"
        )
    return impact


def _lowest_impact(known: Known) -> str:
    return str(known.vocabulary.soundings[known.answers["sounding"]].lowest_impact)


def _level(text: str, _: Known) -> int | None:
    """Read the level; None if it is left empty, so that it is measured."""
    if text.strip() not in {"", "1", "2", "3"}:
        raise ValueError("level is a number from 1 to 3")
    return int(text) if text.strip() else None


def _minutes(text: str, _: Known) -> float:
    if not re.fullmatch(r"[0-9]{1,2}(\.[0-9]+)?", text.strip()) or not 0 < float(text) <= 60:
        raise ValueError("minutes is a number up to 60, such as 3 or 1.5")
    _check_field("minutes", f"{float(text):g}")
    return float(text)


def _silent(text: str, _: Known) -> bool:
    """Whether there is no notation: "n" at the keyboard, or "true" from --silent."""
    if text.lower() not in {"y", "yes", "n", "no", "true"}:
        raise ValueError("please answer y or n")
    return text.lower() in {"n", "no", "true"}


def _usually_notated(known: Known) -> str:
    manner = known.vocabulary.soundings[known.answers["sounding"]]
    return "n" if manner.notation == "none" else "y"


QUESTIONS = (
    Question("title", "Title", _title),
    Question("plain", "Plain name, if the title does not say what it is", _plain, optional=True),
    Question("summary", "What is it, in one line", _summary),
    Question(
        "goal",
        "Goals, the leading one first",
        _goals,
        choices=lambda words: {name: goal.label for name, goal in words.goals.items()},
    ),
    Question(
        "sounding",
        "Manner of sounding",
        _sounding,
        choices=lambda words: {name: manner.label for name, manner in words.soundings.items()},
    ),
    Question(
        "impact",
        "Impact, " + ", ".join(f"{number} {word}" for number, word in IMPACT_WORDS.items()),
        _impact,
        _lowest_impact,
    ),
    Question(
        "level",
        f"Level, learned {', '.join(f'{n} {word}' for n, word in LEVEL_WORDS.items())} "
        "(Enter: as measured)",
        _level,
        optional=True,
    ),
    Question("minutes", "Minutes the first time, with talk", _minutes),
    Question(
        "silent", "With notes or spoken beats (y/n)", _silent, _usually_notated, optional=True
    ),
)
