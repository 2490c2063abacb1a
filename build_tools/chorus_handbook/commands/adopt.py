"""`handbook adopt`: copies exercises from another chorus's handbook, with scores and pictures.

Voices and vocabulary words of the other handbook are matched with ours where that is clear; for the
others, the command asks at the keyboard, or takes options. Everything is first tried in a copy of
this handbook, so that only files are written which `handbook check` accepts.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path, PurePath

from chorus_handbook import report
from chorus_handbook.adopting.choices import Adopted, AdoptionError, Choices, Side
from chorus_handbook.adopting.exercise import named_voices
from chorus_handbook.adopting.words import Word, add_words
from chorus_handbook.chorus.file_format import FORMAT
from chorus_handbook.claims.duplicate_titles import comparable
from chorus_handbook.commands.adopt_questions import Answers, choose_voices, choose_words
from chorus_handbook.commands.adopt_trial import Trial
from chorus_handbook.commands.files import edited, write_new
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.music.musicxml.parse import ScoreFileError
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import Problem, did_you_mean, has_errors
from chorus_handbook.source import read_text
from chorus_handbook.source.names import TAKEN_ADDRESSES, is_name

SUMMARY = "Take exercises over from another chorus's handbook, with scores and pictures"


#: Codes of errors in the other handbook that do not matter here: they are about links and
#: references to other exercises, which are not copied.
_IGNORED_ERRORS = ("related-unknown", "link-broken")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", metavar="FOLDER", help="the other handbook's folder")
    parser.add_argument("exercises", nargs="+", metavar="EXERCISE", help="their names without .md")
    for option, names, help_text in (
        (
            "--voice",
            "THEIRS=OURS",
            "which of our voices (OURS) sings the part of their voice (THEIRS)",
        ),
        (
            "--word",
            "THEIRS=OURS",
            "what a word of their vocabulary is called here; nothing after = leaves it out",
        ),
        ("--name", "EXERCISE=NAME", "another name for an exercise, where its own is taken"),
        ("--title", "EXERCISE=TITLE", "another title for an exercise, where its own is taken"),
    ):
        parser.add_argument(
            option,
            action="append",
            default=[],
            metavar=names,
            help=f"{help_text}; may be given repeatedly",
        )
    parser.add_argument(
        "--in-order",
        action="store_true",
        help="give all parts to the voices here in score order, the highest to the highest",
    )
    parser.add_argument(
        "--add-words", action="store_true", help="add to vocabulary.yml the words it lacks"
    )
    parser.add_argument("--origin", help="whose exercises they are, if not that chorus's")
    parser.add_argument("--licence", help="the terms on which they may be used, if you have asked")


def run(project: Project, options: argparse.Namespace) -> int:
    book = project.read()
    their_root = _their_root(Path(options.folder))
    if their_root.resolve() == project.root.resolve():
        raise WrongUsageError(f'"{options.folder}" is this handbook; name another one')
    other = Project(Path(options.folder)).read(cache=project.cache)
    ours, theirs = _side(book), _side(other)
    if ours is None or theirs is None:
        print(report.as_text(_configuration_problems(other if ours else book)), file=sys.stderr)
        whose = "the other handbook" if ours else "this handbook"
        print(f"handbook adopt: fix the files of {whose} named above first.", file=sys.stderr)
        return 1
    slugs = _slugs(options, other)
    errors = _errors(other, slugs)
    if errors:
        print(report.as_text(errors), file=sys.stderr)
        print("handbook adopt: nothing was written; these exercises have errors.", file=sys.stderr)
        if theirs.chorus.format < FORMAT:
            print(
                f"That handbook is in format {theirs.chorus.format}. If that is why, run "
                "`handbook renew` in a copy of it, and adopt from the copy.",
                file=sys.stderr,
            )
        return 1
    try:
        choices, added = _choices(options, slugs, theirs, ours)
        with Trial(ours, theirs, project.cache) as trial:
            changed = {}
            if added:
                path = ours.root / "vocabulary.yml"
                text, _ = read_text(path, f"{ours.root.name}/{path.name}")
                assert text is not None  # it has been read already
                names = {word: name for word, name in choices.words.items() if name}
                new_text = add_words(text, added, theirs.vocabulary, names)
                changed[path.name] = edited(path, text, new_text)
            adopted = trial.run(list(slugs), choices, changed)
            problems = trial.problems()
    except (AdoptionError, ScoreFileError) as reason:
        print(f"handbook adopt: {reason}.", file=sys.stderr)
        print("Nothing was written.", file=sys.stderr)
        return 1
    _summarise(adopted, added, problems)
    if has_errors(problems):
        for slug in _with_taken_title(slugs, choices, theirs, ours):
            print(
                f"An exercise here has the title of {slug} already; give it another: "
                f"--title {slug}=TITLE",
                file=sys.stderr,
            )
        print("handbook adopt: nothing was written.", file=sys.stderr)
        return 1
    new: dict[Path, bytes] = {}
    for one in adopted:
        new[ours.root / one.page] = one.text.encode()
        new |= {ours.root / name: content for name, content in one.files.items()}
    write_new(
        new,
        "give the exercise another name: --name EXERCISE=NAME",
        {ours.root / name: content for name, content in changed.items()},
    )
    for path in new:
        print(path)
    return 0


def _their_root(folder: Path) -> Path:
    """The other handbook's folder. Raises WrongUsageError if there is none."""
    try:
        return Project(folder).root
    except WrongUsageError as missing:
        lacks = "contains no handbook" if folder.exists() else "does not exist"
        raise WrongUsageError(
            f'the folder "{folder}" {lacks}; give the folder of the other chorus, the one that '
            "contains handbook/chorus.yml"
        ) from missing


def _side(book: Handbook) -> Side | None:
    """What adopting needs to know of a handbook, ours or theirs; None if its chorus.yml or
    vocabulary.yml has errors."""
    chorus, vocabulary = book.config.chorus, book.config.vocabulary
    if chorus is None or vocabulary is None:
        return None
    return Side(book.root, chorus, vocabulary, book.exercises)


def _configuration_problems(book: Handbook) -> list[Problem]:
    """The problems in chorus.yml and vocabulary.yml of a handbook."""
    names = {f"{book.root.name}/{name}.yml" for name in ("chorus", "vocabulary")}
    return [problem for problem in book.problems if problem.place.path in names]


def _slugs(options: argparse.Namespace, other: Handbook) -> dict[str, str]:
    """The exercises to copy: maps the slug of each in the other handbook to its slug in ours (a
    slug is the file's name without .md). Raises WrongUsageError."""
    slugs = [PurePath(name).name.removesuffix(".md") for name in options.exercises]
    for slug in slugs:
        if slug not in other.entries.slugs:
            known = did_you_mean(slug, other.entries.slugs)
            raise WrongUsageError(f'there is no exercise "{slug}" in "{other.root}".{known}')
    names = pairs("--name", options.name, slugs)
    for name in names.values():
        if not is_name(name) or name in TAKEN_ADDRESSES:
            raise WrongUsageError(
                f'--name: "{name}" cannot be the name of a file; use small letters, digits, hyphens'
            )
    found = {slug: names.get(slug, slug) for slug in slugs}
    if len(set(found.values())) < len(found):
        raise WrongUsageError(
            "two exercises would have the same name; rename one: --name EXERCISE=NAME"
        )
    return found


def pairs(option: str, given: Sequence[str], known: Sequence[str]) -> dict[str, str]:
    """The values of an option that are written as A=B, as a dict from A to B. Raises
    WrongUsageError for a value without "=", and for an A that is not in `known`."""
    found: dict[str, str] = {}
    for text in given:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not equals or not name:
            raise WrongUsageError(f"{option} {text}: write two names with = between them")
        if name not in known:
            raise WrongUsageError(
                f'{option}: there is no "{name}" to adopt.{did_you_mean(name, known)}'
            )
        found[name] = value
    return found


def _errors(other: Handbook, slugs: Mapping[str, str]) -> list[Problem]:
    """The errors in the pages and score files of the exercises to copy."""
    pages = {f"{other.root.name}/{EXERCISE.page(slug)}" for slug in slugs}
    scores = {
        f"{other.root.name}/{exercise.front.score}"
        for slug in slugs
        if (exercise := other.exercises.get(slug)) and exercise.front.score
    }
    found = [p for p in other.problems if p.place.path in pages | scores]
    return [p for p in found if p.severity == "error" and p.code not in _IGNORED_ERRORS]


def _choices(
    options: argparse.Namespace, slugs: Mapping[str, str], theirs: Side, ours: Side
) -> tuple[Choices, dict[Word, str]]:
    """What has to be chosen before exercises can be adopted: the `Choices`, and the words to add to
    our vocabulary, mapped to the names that they get there. Raises WrongUsageError."""
    for slug, new in slugs.items():
        if (ours.root / EXERCISE.page(new)).exists():
            raise WrongUsageError(
                f"{EXERCISE.page(new)} exists already; give the new exercise another name: "
                f"--name {slug}=NAME, and --title {slug}=TITLE if the title is taken too"
            )
    exercises = [theirs.exercises[slug] for slug in slugs]
    needed = [voice for one in exercises for voice in named_voices(one, theirs)]
    answers = Answers(theirs, ours)
    given = pairs("--voice", options.voice, list(theirs.chorus.voices))
    voices = choose_voices(
        list(theirs.chorus.in_order(needed)), given, answers, in_order=options.in_order
    )
    words, added = choose_words(
        [exercise.front for exercise in exercises], options.word, answers, add=options.add_words
    )
    answers.require()
    titles = pairs("--title", options.title, list(slugs))
    return Choices(slugs, voices, words, titles, options.origin, options.licence), added


def _with_taken_title(
    slugs: Mapping[str, str], choices: Choices, theirs: Side, ours: Side
) -> list[str]:
    """The slugs, in their handbook, of the exercises to copy whose title one of our exercises has
    already."""
    taken = {comparable(exercise.front.title) for exercise in ours.exercises.values()}
    return [
        slug
        for slug in slugs
        if comparable(choices.titles.get(slug) or theirs.exercises[slug].front.title) in taken
    ]


def _summarise(
    adopted: Sequence[Adopted], added: Mapping[Word, str], problems: Sequence[Problem]
) -> None:
    """Print what was changed in the adopted exercises, and the problems that `check` finds in
    them."""
    if added:
        names = ", ".join(sorted(set(added.values())))
        print(f"Added to vocabulary.yml: {names}.", file=sys.stderr)
    common = [remark for remark in adopted[0].remarks if all(remark in a.remarks for a in adopted)]
    for one in adopted:
        remarks = [remark for remark in one.remarks if remark not in common or len(adopted) == 1]
        print(f"{one.page}:", file=sys.stderr)
        for remark in remarks or ["Copied unchanged."]:
            print(f"  {remark}", file=sys.stderr)
    for remark in common if len(adopted) > 1 else ():
        print(f"All of them: {remark}", file=sys.stderr)
    if problems:
        print(report.as_text(problems), file=sys.stderr)
