"""Saves what a build was made from, so that the next build can tell that nothing has changed.

A build uses this module before it imports any large library, so that it ends at once if there is
nothing to do; the module imports none itself.
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

#: Parts of mkdocs.yml by which the site depends on something that is not among the inputs: a file
#: elsewhere, an environment variable, or Python code.
_FROM_ELSEWHERE = re.compile(rb"INHERIT|!ENV|!!python/(?!name:(?:material|pymdownx)\.)")


@dataclass(frozen=True, slots=True)
class LastBuild:
    """What the last build saved after it had published a site.

    inputs: the files and options that the site was made from.
    folder: the folder of the site, as the user named it.
    site: the SHA-256 of the site's manifest.
    output, error_output: what the build printed about the handbook.
    whole: whether the site depends on `inputs` alone, so that equal inputs make an equal site.
    """

    inputs: Inputs
    folder: str
    site: str
    output: str
    error_output: str
    whole: bool

    def to_json(self) -> bytes:
        return json.dumps(asdict(self), sort_keys=True).encode()

    @classmethod
    def from_json(cls, data: bytes) -> LastBuild | None:
        """Read what an earlier build saved; None if it is damaged or was saved by another
        version."""
        try:
            fields = json.loads(data)
            inputs = Inputs.from_json(json.dumps(fields.pop("inputs")).encode())
            if inputs is None:
                return None
            last = cls(inputs=inputs, **fields)
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            return None
        texts = (last.folder, last.site, last.output, last.error_output)
        good = all(isinstance(text, str) for text in texts) and isinstance(last.whole, bool)
        return last if good else None


@dataclass(frozen=True, slots=True)
class BuildStart:
    """What is known when a build starts.

    inputs: what the site is made from.
    looks: the state of these files on the disk before they were read.
    last: what the last build of the same site saved in the cache; None if it saved nothing.
    key: the key in the cache under which each build of this site is saved.
    """

    inputs: Inputs
    looks: Looks
    last: LastBuild | None
    key: str

    @property
    def nothing_new(self) -> bool:
        """Whether the inputs are those of the last build; the site itself may have been changed."""
        return self.last is not None and self.last.whole and self.last.inputs == self.inputs

    def changes(self) -> Iterator[str]:
        """What has changed since the last build, one line for each change."""
        if self.last is None:
            yield "Nothing is known of an earlier build of this site."
        elif self.nothing_new:
            yield (
                "The handbook has not changed, but files of the site were changed since the last "
                "build."
            )
        else:
            changes = [*self.inputs.changes(self.last.inputs)]
            yield from changes or ["The handbook has not changed, but something else may have."]


def start_build(project: Project, *, date: str, options: str, named: Path | None) -> BuildStart:
    """Find out what the handbook consists of now, and what the last build saved. `date` is the date
    that the site shows, `options` a text of the options that change the site, and `named` the
    site's folder if the command line names it."""
    root, config_file = project.root, project.config_file
    looks = looks_of(root, config_file)
    inputs = inputs_of(root, config_file, date=date, options=options)
    target = os.path.abspath(named) if named else ""  # noqa: PTH100  (links stay links)
    key = Cache.key("last-build", os.fsencode(config_file), os.fsencode(target))
    stored = project.cache.get(key)
    last = LastBuild.from_json(stored) if stored is not None else None
    return BuildStart(inputs, looks, last, key)


def is_as_built(target: Path, listed: Manifest | None, last: LastBuild) -> bool:
    """Whether the site is still exactly as the last build left it, without missing, changed or
    added files. Raises OSError."""
    if listed is None:
        return False
    try:
        same = sha256((target / SITE_FILES).read_bytes()).hexdigest() == last.site
        if not same or not all(listed.has_unchanged(p, target / p) for p in listed.files):
            return False
    except (FileNotFoundError, NotADirectoryError):
        return False
    return not find_foreign(target, listed, lambda *_: None)


def save_build(
    project: Project,
    start: BuildStart,
    folder: Path,
    listed: Manifest,
    printed: tuple[str, str],
    *,
    whole: bool,
) -> None:
    """Save what the next build compares with. `printed` is what went to standard output and to
    standard error. `whole` is false if the site's settings let it depend on more than the inputs,
    so that the next build must not conclude from equal inputs that nothing has changed. If the
    handbook changed during the build, nothing is saved, because the site may be made from either
    version."""
    if start.looks != looks_of(project.root, project.config_file):
        return
    config = project.config_file.read_bytes()
    last = LastBuild(
        start.inputs,
        os.path.abspath(folder),  # noqa: PTH100  (a link to the site stays a link)
        sha256(listed.to_json()).hexdigest(),
        *printed,
        whole=whole and start.inputs.whole and not _FROM_ELSEWHERE.search(config),
    )
    project.cache.put(start.key, last.to_json())
