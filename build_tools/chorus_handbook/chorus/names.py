"""Checks the names in chorus.yml and vocabulary.yml.

In chorus.yml: no voice or group may have a reserved name such as "all", no group may have the name
of a voice, and the members of groups must be voices. In vocabulary.yml: no goal may have the
address of another page, and every caution that is named must be defined under `cautions`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.problems import Problem, did_you_mean, in_quotes
from chorus_handbook.source import Document, clip
from chorus_handbook.source.names import TAKEN_ADDRESSES

#: Names that have another meaning in the field `voices` or at the start of a line of music.
RESERVED = frozenset({"all", "others", "leader", "meter", "pickup", "mode", "octave", "words"})


def check_chorus(chorus: Chorus, document: Document) -> list[Problem]:
    """Report names that are reserved or taken, and groups with unknown voices or none."""
    return [*_taken(chorus, document), *_members(chorus, document)]


def without_reserved(chorus: Chorus) -> Chorus | None:
    """The chorus without the voices and groups that have a reserved name; None when no voice is
    left. `check_chorus` reports them."""
    voices = {name: voice for name, voice in chorus.voices.items() if name not in RESERVED}
    groups = {name: group for name, group in chorus.groups.items() if name not in RESERVED}
    return chorus.model_copy(update={"voices": voices, "groups": groups}) if voices else None


def _taken(chorus: Chorus, document: Document) -> Iterator[Problem]:
    """Report voices and groups with a reserved name, and groups with the name of a voice."""
    for field, noun in (("voices", "voice"), ("groups", "group")):
        for name in getattr(chorus, field):
            if name in RESERVED:
                yield Problem(
                    document.name_of(field, name),
                    "field-value",
                    f'A {noun} cannot be called "{name}": at the start of a line of music, this '
                    "word has another meaning.",
                    f"Give this {noun} another name.",
                )
    for name in chorus.groups:
        if name in chorus.voices:
            yield Problem(
                document.name_of("groups", name),
                "field-value",
                f'There is already a voice called "{name}".',
                "Give the group another name.",
            )


def _members(chorus: Chorus, document: Document) -> Iterator[Problem]:
    """Report groups without voices, and members of groups that are not voices."""
    for name, members in chorus.groups.items():
        if not members:
            yield Problem(
                document.place_of("groups", name),
                "field-value",
                f'The group "{name}" has no voices.',
                "Name its voices, or delete the group.",
            )
        for number, member in enumerate(members):
            if member in chorus.groups and member not in chorus.voices:
                inner = [voice for voice in chorus.groups[member] if voice in chorus.voices]
                yield Problem(
                    document.place_of("groups", name, number),
                    "word-unknown",
                    f'"{clip(member)}" is a group, but a group can only contain voices.',
                    f"Write its voices instead: {in_quotes(inner or chorus.voices)}.",
                )
        only_groups = chorus.groups.keys() - chorus.voices.keys()
        yield from _unknown(
            document, ("groups", name), members, chorus.voices, "voice", skip=only_groups
        )


def check_vocabulary(vocabulary: Vocabulary, document: Document) -> list[Problem]:
    """Report cautions that are named but not defined, and goals whose page address is taken."""
    lists: list[tuple[tuple[str | int, ...], list[str]]] = [
        *((("soundings", n, "cautions"), s.cautions) for n, s in vocabulary.soundings.items()),
        *((("actions", n, "cautions"), a.cautions) for n, a in vocabulary.actions.items()),
        *((("impact_cautions", n), names) for n, names in vocabulary.impact_cautions.items()),
    ]
    return [
        *_addresses(vocabulary, document),
        *(
            problem
            for path, names in lists
            for problem in _unknown(document, path, names, vocabulary.cautions, "caution")
        ),
    ]


def _addresses(vocabulary: Vocabulary, document: Document) -> Iterator[Problem]:
    """Report goals whose name cannot be the address of a page, because another page has it."""
    for name in vocabulary.goals:
        if name in TAKEN_ADDRESSES:
            yield Problem(
                document.name_of("goals", name),
                "field-value",
                f'A goal cannot be called "{name}": its page would replace the list of goals.',
                "Give it another name here and in the exercises.",
            )


def _unknown(
    document: Document,
    path: tuple[str | int, ...],
    names: list[str],
    known: Collection[str],
    noun: str,
    skip: Collection[str] = (),
) -> Iterator[Problem]:
    """Report names that are neither in `known` nor in `skip`. They are the items of the list at
    `path` (the names that lead to it) in the document. `noun` is what messages call one of them,
    such as "voice"."""
    for number, name in enumerate(names):
        if name not in known and name not in skip:
            yield Problem(
                document.place_of(*path, number),
                "word-unknown",
                f'There is no {noun} "{clip(name)}".'
                f"{did_you_mean(clip(name), [k for k in known if k not in names])}",
                f"Write one of these: {in_quotes(known)}."
                if known
                else f'Define it first, below "{noun}s:".',
            )
