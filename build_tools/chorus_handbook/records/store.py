"""Loads and saves records in the cache, one for each file of a handbook. A record has what is known
of a file after reading and measuring it.

The key of a record is made from everything that the record depends on, so a record is never out of
date; a damaged record is made again. Records are JSON, because others may have written to the
folder that they are read from, and reading JSON runs no code.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from chorus_handbook.cache import Cache
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.dependencies import program_hash
from chorus_handbook.entries.files import ContentFile, content_files
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.model import EXERCISE, Text
from chorus_handbook.records.record import AnyRecord, Exercise, Record
from chorus_handbook.source import shown_path
from chorus_handbook.source.text import LARGEST_FILE, unsaved


def records_of(root: Path, config: ChorusConfig, cache: Cache) -> Iterator[AnyRecord]:
    """The record of every file of the handbook in the folder `root`, kind by kind, in the order of
    file names."""
    context = sha256()
    for model in (config.chorus, config.vocabulary):  # the field `words` changes no record
        context.update(model.model_dump_json(exclude={"words"}).encode() if model else b"none")
        context.update(b"\n")
    for file in content_files(root):
        yield build_or_load(file, config, context.hexdigest(), root, cache)


def build_or_load(
    file: ContentFile, config: ChorusConfig, context: str, root: Path, cache: Cache
) -> AnyRecord:
    """The record of one file, from the cache or made and saved. `context` is a digest of the chorus
    and the vocabulary."""
    key = Cache.key(
        "record",
        program_hash(),
        context,
        shown_path(file.path, root),
        repr((file.kind.name, file.slug, file.problems, file.path.is_symlink())),
        content(file.path, LARGEST_FILE),
    )
    stored = cache.get(key)
    if stored is not None:
        score, _, text = stored.partition(b"\n")
        record = _loaded(text, file.kind)
        if record is not None and _score_digest(record, root) == score:
            return record
    from chorus_handbook.records.making import make_record

    record = make_record(file, config, root)
    cache.made["records"] += 1
    cache.put(key, _score_digest(record, root) + b"\n" + written(record, file.kind))
    return record


def written(record: AnyRecord, kind: Kind[Any]) -> bytes:
    """A record as it is stored. Its source is left out if its content contains it already."""
    return _adapter(kind).dump_json(record, exclude={"source"} if record.content else None)


def content(path: Path, most: int) -> bytes:
    """A digest of the first `most` + 1 bytes of a file, or the reason why it cannot be read. (One
    byte more than allowed is enough to see that a file is too large.)"""
    replacement = unsaved(path)  # such as text that an editor has not saved yet
    if replacement is not None:
        return sha256(replacement).digest()
    try:
        if not path.is_file():
            return b"no file"
        with path.open("rb") as file:
            return sha256(file.read(most + 1)).digest()
    except OSError as failure:
        return f"unreadable {failure.errno}".encode()


@lru_cache
def _adapter(kind: Kind[Any]) -> TypeAdapter[AnyRecord]:
    """The adapter that writes the records of a kind as JSON, and validates them when they are
    read."""
    record: Any = Record  # type checkers cannot know the types in the brackets
    text: Any = Text
    return TypeAdapter(record[Exercise if kind is EXERCISE else text[kind.fields]])


def _loaded(text: bytes, kind: Kind[Any]) -> AnyRecord | None:
    """The record in a stored text; None if it is damaged."""
    try:
        record = _adapter(kind).validate_json(text)
    except ValidationError:
        return None
    return replace(record, source=record.content.source) if record.content else record


def _score_digest(record: AnyRecord, root: Path) -> bytes:
    """A digest of the score file that an exercise is made from; empty if it has none."""
    notation = record.source.notation if record.source else None
    if notation is None or notation.kind != "score":
        return b""
    from chorus_handbook.music.musicxml.container import LARGEST_SCORE, locate
    from chorus_handbook.music.musicxml.parse import ScoreFileError

    try:
        return content(locate(root, notation.text), LARGEST_SCORE).hex().encode()
    except ScoreFileError as error:
        return error.code.encode()
