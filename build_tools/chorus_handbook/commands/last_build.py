"""What the last build left for the next one: while nothing has changed, there is nothing to do.

This is read before anything heavy is loaded, and loads nothing heavy itself.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path

from chorus_handbook.cache import Cache
from chorus_handbook.commands.old_site import find_foreign
from chorus_handbook.commands.project import Project
from chorus_handbook.records.inputs import Inputs, Looks, inputs_of, looks_of
from chorus_handbook.records.manifest import SITE_FILES, Manifest

#: With these, mkdocs.yml depends on what is not among the inputs: another file, the environment.
_FROM_ELSEWHERE = re.compile(rb"INHERIT|!ENV|!!python/(?!name:(?:material|pymdownx)\.)")


@dataclass(frozen=True, slots=True)
class LastBuild:
    """A build that published a site: what it was made from; its folder, as it was named; a digest
    of the list of its files; and what the build had to say of the handbook, on standard output and
    on standard error. `whole`: nothing else can have a part in it."""

    inputs: Inputs
    folder: str
    site: str
    said: str
    said_on_error: str
    whole: bool

    def to_json(self) -> bytes:
        return json.dumps(asdict(self), sort_keys=True).encode()

    @classmethod
    def from_json(cls, data: bytes) -> LastBuild | None:
        """What an earlier build left; None where it is of no use."""
        try:
            found = json.loads(data)
            inputs = Inputs.from_json(json.dumps(found.pop("inputs")).encode())
            if inputs is None:
                return None
            last = cls(inputs=inputs, **found)
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            return None
        texts = (last.folder, last.site, last.said, last.said_on_error)
        good = all(isinstance(text, str) for text in texts) and isinstance(last.whole, bool)
        return last if good else None


@dataclass(frozen=True, slots=True)
class Beginning:
    """What a build finds when it begins: the inputs, how their files looked before they were read,
    and what the last build of the same target left."""

    inputs: Inputs
    looks: Looks
    last: LastBuild | None
    key: str

    @property
    def nothing_new(self) -> bool:
        """Whether a site is made from the same as the last one; it may have changed itself."""
        return self.last is not None and self.last.whole and self.last.inputs == self.inputs

    def changes(self) -> Iterator[str]:
        """What has changed since the last build, a line each."""
        if self.last is None:
            yield "No earlier build of this site has left a list of what it was made from."
        elif self.nothing_new:
            yield "The handbook has not changed, but the site is not as the last build left it."
        else:
            found = [*self.inputs.changes(self.last.inputs)]
            yield from found or ["The handbook has not changed, but something else may have."]


def begin(project: Project, *, date: str, options: str, named: Path | None) -> Beginning:
    """Look at the handbook. `named` is the folder of the site where mkdocs.yml does not name it."""
    root, config_file = project.root, project.config_file
    looks = looks_of(root, config_file)
    inputs = inputs_of(root, config_file, date=date, options=options)
    target = os.path.abspath(named) if named else ""  # noqa: PTH100  (links stay links)
    key = Cache.key("last-build", os.fsencode(config_file), os.fsencode(target))
    stored = project.cache.get(key)
    last = LastBuild.from_json(stored) if stored is not None else None
    return Beginning(inputs, looks, last, key)


def is_as_built(target: Path, listed: Manifest | None, last: LastBuild) -> bool:
    """Whether a site is the one that the last build left: whole, unchanged, and with nothing in it
    of which a build would have to speak. Raises OSError."""
    if listed is None:
        return False
    try:
        same = sha256((target / SITE_FILES).read_bytes()).hexdigest() == last.site
        if not same or not all(listed.has_unchanged(p, target / p) for p in listed.files):
            return False
    except (FileNotFoundError, NotADirectoryError):
        return False
    return not find_foreign(target, listed, lambda *_: None)


def leave(
    project: Project,
    beginning: Beginning,
    folder: Path,
    listed: Manifest,
    said: tuple[str, str],
    *,
    whole: bool,
) -> None:
    """Leave word for the next build; `whole`: as far as the site's settings tell. Nothing is left
    where the handbook changed during the build, as nobody knows then what it was made from."""
    if beginning.looks != looks_of(project.root, project.config_file):
        return
    config = project.config_file.read_bytes()
    last = LastBuild(
        beginning.inputs,
        os.path.abspath(folder),  # noqa: PTH100  (a link to the site stays a link)
        sha256(listed.to_json()).hexdigest(),
        *said,
        whole=whole and beginning.inputs.whole and not _FROM_ELSEWHERE.search(config),
    )
    project.cache.put(beginning.key, last.to_json())
