"""Says in plain words what is wrong with a command line.

argparse, Python's parser of command lines, reports mistakes in the words of programmers, after some
lines of usage. `CommandLine` says each mistake in one sentence, with what may be written instead
and where help is.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from typing import NoReturn

from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.problems import did_you_mean

#: Regular expressions for what argparse reports in any version of Python that can run this program,
#: and the sentences printed instead, in which {0} and {1} stand for the groups.
_SENTENCES = (
    (r"unrecognized arguments: (.*)", '"{0}" is not expected here'),
    (
        r"the following arguments are required: COMMAND",
        "please name a command, such as check or build",
    ),
    (r"the following arguments are required: (.*)", "please also say {0}"),
    (r"one of the arguments (.*) is required", "please also say one of these: {0}"),
    (r"argument (.*?): expected .*", "{0} needs a value after it"),
    (r"argument (.*?): not allowed with argument (.*)", "{0} and {1} do not go together"),
    (r"argument (.*?): ignored explicit argument (.*)", "{0} takes no value; leave out {1}"),
    (r"ambiguous option: (\S+) could match (.*)", "{0} could be one of these: {1}"),
    (r"argument (-.*?): (.*)", "{0}: {1}"),
    (r"argument (.*?): (.*)", "{1}"),
)
_CHOICE = re.compile(r"argument (.*?): invalid choice: '(.*)' \(choose from (.*)\)", re.DOTALL)


class CommandLine(argparse.ArgumentParser):
    """A parser that raises WrongUsageError with a plain sentence when the command line is wrong.
    The sentence names the command whose help to read: `help_of`, or else the parser's own."""

    help_of = ""

    def error(self, message: str) -> NoReturn:
        """Raise WrongUsageError with a plain sentence for the `message` of argparse."""
        help_is = f"`{self.help_of or self.prog} --help` says what may be written"
        text = _plain(message)
        raise WrongUsageError(f"{text}{'' if text.endswith('?') else ';'} {help_is}")


def _plain(message: str) -> str:
    """A message of argparse in plain words; unchanged if it is of no kind that is known here."""
    if found := _CHOICE.fullmatch(message):
        name, word, choices = found[1], found[2], found[3].replace("'", "")
        guess = did_you_mean(word, choices.split(", ")).replace(" Did", " did")
        if name == "COMMAND":
            return f'there is no command "{word}";{guess or f" there are {choices}"}'
        return f'{name} cannot be "{word}"; write one of these: {choices}'
    for pattern, sentence in _SENTENCES:
        if found := re.fullmatch(pattern, message, re.DOTALL):
            return sentence.format(*found.groups())
    return message


def number_from(low: int, high: int) -> Callable[[str], int]:
    """A function for the `type` of an argparse argument: it reads a whole number from `low` to
    `high`, both included."""

    def read(text: str) -> int:
        if not re.fullmatch(r"[0-9]{1,4}", text) or not low <= int(text) <= high:
            raise argparse.ArgumentTypeError(f'"{text}" is not a whole number from {low} to {high}')
        return int(text)

    return read
