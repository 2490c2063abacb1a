"""Checks of the names in chorus.yml and vocabulary.yml.

No voice or group may have a reserved name, and no group the name of a voice; members of groups must
be voices; no goal may have the address of another page. Cautions that soundings, actions and
impacts name must be written out under `cautions`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.problems import Problem, did_you_mean
from chorus_handbook.source import Document, clip
from chorus_handbook.source.names import TAKEN_ADDRESSES

#: Names that mean something else where a voice's name may stand: in `voices` and in notation.
RESERVED = frozenset({"all", "others", "leader", "meter", "pickup", "mode", "octave", "words"})


def check_chorus(chorus: Chorus, document: Document) -> list[Problem]:
    """Problems of names that are reserved or taken, and of groups with unknown or no voices."""
    return [*_taken(chorus, document), *_members(chorus, document)]


def without_reserved(chorus: Chorus) -> Chorus | None:
    """The chorus without voices and groups that have a reserved name, which would mislead later
    stages; None when no voice is left. `check_chorus` reports them."""
    voices = {name: voice for name, voice in chorus.voices.items() if name not in RESERVED}
    groups = {name: group for name, group in chorus.groups.items() if name not in RESERVED}
    return chorus.model_copy(update={"voices": voices, "groups": groups}) if voices else None


def _taken(chorus: Chorus, document: Document) -> Iterator[Problem]:
    for kind in ("voices", "groups"):
        for name in getattr(chorus, kind):
            if name in RESERVED:
                yield Problem(
                    document.name_of(kind, name),
                    "field-value",
                    f'"{name}" means something else in notation.',
                    f"Give this {kind[:-1]} another name.",
                )
    for name in chorus.groups:
        if name in chorus.voices:
            yield Problem(
                document.name_of("groups", name),
                "field-value",
                f'"{name}" is the name of a voice already.',
                "Give the group another name.",
            )


def _members(chorus: Chorus, document: Document) -> Iterator[Problem]:
    for name, members in chorus.groups.items():
        if not members:
            yield Problem(
                document.place_of("groups", name),
                "field-value",
                f'The group "{name}" has no voices.',
                "Name its voices, or delete the group.",
            )
        yield from _unknown(document, ("groups", name), members, chorus.voices, "voice")


def check_vocabulary(vocabulary: Vocabulary, document: Document) -> list[Problem]:
    """Problems of cautions that are not written out, and of goals whose page address is taken."""
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
    """A goal's name is its page's address, and some addresses are taken."""
    for name in vocabulary.goals:
        if name in TAKEN_ADDRESSES:
            yield Problem(
                document.name_of("goals", name),
                "field-value",
                f'A goal cannot be called "{name}": that address is taken.',
                "Give it another name here and in the exercises.",
            )


def _unknown(
    document: Document,
    path: tuple[str | int, ...],
    names: list[str],
    known: Collection[str],
    what: str,
) -> Iterator[Problem]:
    for number, name in enumerate(names):
        if name not in known:
            yield Problem(
                document.place_of(*path, number),
                "word-unknown",
                f'There is no {what} "{clip(name)}".'
                f"{did_you_mean(clip(name), [k for k in known if k not in names])}",
                f"The {what}s are {', '.join(known)}." if known else f"Write the {what} out first.",
            )
