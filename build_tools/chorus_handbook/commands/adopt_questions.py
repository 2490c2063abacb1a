"""Decides which of our voices and vocabulary words `handbook adopt` puts in place of those of the
other handbook.

"Ours" is what belongs to the handbook that takes exercises over, "theirs" what belongs to the one
they come from. Voices and words that the program cannot match are taken from options of the
command, or asked for at the keyboard. The result maps each of their names to one of ours.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from chorus_handbook.adopting.choices import Side
from chorus_handbook.adopting.voices import in_score_order, match_voices, suggested
from chorus_handbook.adopting.words import Word, match_word, words_of
from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.problems import did_you_mean

#: What to answer so that a word is added to vocabulary.yml, or left out.
ADD, LEAVE_OUT = "+", "-"


@dataclass(slots=True)
class Answers:
    """Asks the person at the keyboard about voices and words. If there is nobody, as in a script,
    `missing` collects the options that would have answered the questions, and `require` reports all
    of them in one error."""

    theirs: Side
    ours: Side
    missing: list[str] = field(default_factory=list)

    def ask(
        self, question: str, default: str, read: Callable[[str], str], option: str
    ) -> str | None:
        """Ask until `read` accepts the answer (it raises ValueError for others), and return what
        it makes of it. If nobody can be asked, note `option` as missing and return None."""
        if sys.stdin is None or not sys.stdin.isatty():
            self.missing.append(option)
            return None
        while True:
            try:
                answer = input(f"{question} [{default}]: " if default else f"{question}: ")
            except EOFError as gone:
                print(file=sys.stderr)
                raise WrongUsageError(
                    "nothing was written: the answers ended before the last question"
                ) from gone
            try:
                return read(answer.strip() or default)
            except ValueError as mistake:
                print(f"  {mistake}", file=sys.stderr)

    def agrees(self, question: str) -> bool:
        """Ask a question that is answered by yes or no; whether the answer is yes. False if there
        is nobody at the keyboard."""
        if sys.stdin is None or not sys.stdin.isatty():
            return False
        return self.ask(f"{question}? (y/n)", "y", _yes_or_no, "") == "y"

    def require(self) -> None:
        """Raise WrongUsageError, which names all missing options, if any question could not be
        asked."""
        if self.missing:
            raise WrongUsageError(f"please also say {'; '.join(self.missing)}")


def _yes_or_no(answer: str) -> str:
    if answer.lower() not in ("y", "yes", "n", "no"):
        raise ValueError("please answer y or n")
    return answer.lower()[0]


def choose_voices(
    needed: Sequence[str], given: Mapping[str, str], answers: Answers, *, in_order: bool
) -> dict[str, str]:
    """Map each voice of the other chorus in `needed` to the voice of our chorus that takes its
    part. `given` has the pairs that options name; they always count. With `in_order`, the highest
    voice goes to our highest, and so on; without it, voices are matched by name and range, and the
    person at the keyboard is asked about those without a match. Raises WrongUsageError."""
    theirs, ours = answers.theirs.chorus, answers.ours.chorus

    def read(name: str) -> str:
        if name not in ours.voices:
            raise ValueError(
                f'this chorus has no voice "{name}".{did_you_mean(name, ours.voices)} '
                f"Its voices are {', '.join(ours.voices)}"
            )
        return name

    for voice, name in given.items():
        try:
            read(name)
        except ValueError as mistake:
            raise WrongUsageError(f"--voice {voice}={name}: {mistake}") from mistake
    ordered = in_score_order(needed, ours)
    if in_order and ordered is None:
        raise WrongUsageError(
            f"--in-order: the exercises have parts for {len(needed)} voices, but this chorus has "
            f"only {len(ours.voices)}"
        )
    found = match_voices(needed, theirs, ours, ((ordered or {}) | {**given}) if in_order else given)
    missing = [voice for voice in needed if voice not in found]
    if missing and ordered and ordered != found:
        pairs = ", ".join(f"{old}={new}" for old, new in ordered.items())
        if answers.agrees(f"Give the parts to your voices in score order ({pairs})"):
            return ordered | {**given}
    guesses = suggested(missing, ours, found.values())
    for voice in missing:
        guess = guesses.get(voice, "")
        label = theirs.voices[voice].label
        option = f"who sings {voice}: --voice {voice}={guess or 'OURS'}"
        answer = answers.ask(f"Who here sings what {label} sang", guess, read, option)
        if answer:
            found[voice] = answer
    if answers.missing and ordered:
        answers.missing[0] = (
            f"--in-order, to give all parts to your voices in score order; or {answers.missing[0]}"
        )
    return found


def choose_words(
    fronts: Sequence[FrontMatter], given: Sequence[str], answers: Answers, *, add: bool
) -> tuple[dict[Word, str | None], dict[Word, str]]:
    """Decide what becomes of every vocabulary word in `fronts`, the fields of the adopted
    exercises. Returns two tables: from each word to its name in our vocabulary (None to leave it
    out), and from each word that must be added to our vocabulary to the name that it gets there.
    Raises WrongUsageError.

    given: the values of the option --word, such as "tuning=intonation".
    add: whether to add words without a match; otherwise the person at the keyboard is asked.
    """
    theirs, ours = answers.theirs.vocabulary, answers.ours.vocabulary
    needed = list(dict.fromkeys(word for front in fronts for word in words_of(front, theirs)))
    options = _options(given, needed)
    found: dict[Word, str | None] = {}
    added: dict[Word, str] = {}
    queue = list(needed)
    while queue:
        word = queue.pop(0)
        known = getattr(ours, word.table)
        optional = _can_be_left_out(word, fronts)
        if word.name in options:
            answer = options[word.name] or LEAVE_OUT
            try:
                answer = _reader(word, known, optional)(answer)
            except ValueError as mistake:
                raise WrongUsageError(f"--word {word.name}: {mistake}") from mistake
        else:
            match = match_word(word, theirs, ours)
            answer = match or (ADD if add else _ask_for_word(word, known, optional, answers))
        if answer == LEAVE_OUT:
            found[word] = None
        elif answer == ADD:
            found[word] = added[word] = word.name
            one = getattr(theirs, word.table)[word.name]
            # The cautions that an added word refers to are needed too.
            cautions = [Word("cautions", name) for name in getattr(one, "cautions", ())]
            queue += [caution for caution in cautions if caution not in (*found, *queue)]
        else:
            found[word] = answer
    return found, added


def _ask_for_word(word: Word, known: Mapping[str, object], optional: bool, answers: Answers) -> str:
    """Ask what a word of the other vocabulary is called in ours, whose names are in `known`.
    Returns the answer (see `_reader`); `LEAVE_OUT` if nobody can be asked."""
    ways = f", {ADD} to add it" + (f", {LEAVE_OUT} to leave it out" if optional else "")
    question = f"What is {word} called here ({', '.join(known)}{ways})"
    option = f"what {word} is called here: --word {word.name}=OURS (or --add-words)"
    return answers.ask(question, "", _reader(word, known, optional), option) or LEAVE_OUT


def _options(given: Sequence[str], needed: Sequence[Word]) -> dict[str, str]:
    """The values of --word as a table from a word of the other vocabulary to its name in ours,
    which is empty if the word is to be left out."""
    from chorus_handbook.commands.adopt import pairs

    return pairs("--word", given, [word.name for word in needed])


def _can_be_left_out(word: Word, fronts: Sequence[FrontMatter]) -> bool:
    """Whether a word can be left out of exercises with these fields: a formation or an action can,
    and so can a goal unless it is the only one of an exercise."""
    if word.table == "goals":
        return not any(front.goals == [word.name] for front in fronts)
    return word.table in ("formations", "actions")


def _reader(word: Word, known: Mapping[str, object], optional: bool) -> Callable[[str], str]:
    """A function that checks an answer to the question about a word. It returns the answer: a name
    in `known`, `ADD`, or, for a word that is `optional`, `LEAVE_OUT`; it raises ValueError for
    anything else."""

    def read(answer: str) -> str:
        if not answer:
            leave = f", {LEAVE_OUT} to leave it out" if optional else ""
            raise ValueError(f"type {ADD} to add it{leave}, or one of {', '.join(known)}")
        if answer == LEAVE_OUT and not optional:
            raise ValueError(f"{word} cannot be left out; name one of ours, or add it")
        if answer not in (ADD, LEAVE_OUT) and answer not in known:
            raise ValueError(
                f'there is no "{answer}" in our vocabulary.yml.{did_you_mean(answer, known)} '
                f"It has {', '.join(known)}"
            )
        return answer

    return read
