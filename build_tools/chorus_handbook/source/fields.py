"""Plain data validated by a typed model: every field error at its place, in an author's words."""

from __future__ import annotations

from collections.abc import Iterable
from copy import deepcopy
from dataclasses import dataclass
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source.document import Document, FieldPath
from chorus_handbook.source.field_errors import FieldError, describe
from chorus_handbook.source.suggestions import Fits
from chorus_handbook.source.text import clip

Typed = TypeVar("Typed", bound=BaseModel)

#: A text with more errors than this is not what the model describes; the first ones say so.
_MOST_PROBLEMS = 40


def validate(model: type[Typed], document: Document) -> tuple[Typed | None, list[Problem]]:
    """The document as an instance of `model`, or None and a `Problem` at every field that does not
    fit it."""
    try:
        return model.model_validate(document.data), []
    except ValidationError as wrong:
        found = [
            _found(document.data, error["loc"], error["type"], error.get("ctx", {}))
            for error in wrong.errors(include_url=False, include_input=False)
        ]
    errors = [
        error
        for error in _deepest(found)
        if not any(error.path[: len(path)] == path for path in document.unread)
    ]
    problems = [_problem(model, document, error) for error in errors[:_MOST_PROBLEMS]]
    return None, sorted(problems)


@dataclass(frozen=True, slots=True)
class _ModelError:
    """One error of the library: where in the data, which kind, with what limits."""

    path: FieldPath
    of_name: bool
    kind: str
    limits: dict[str, Any]


def _deepest(found: Iterable[_ModelError]) -> list[_ModelError]:
    """One error for each place. Where a field has several types to choose from, each reports an
    error; the one deepest in the data is nearest to what the author meant."""
    by_path: dict[FieldPath, _ModelError] = {}
    inner: set[FieldPath] = set()
    for error in found:
        inner.update(error.path[:depth] for depth in range(len(error.path)))
        other = by_path.setdefault(error.path, error)
        if {other.kind, error.kind} == {"string_type", "list_type"}:
            by_path[error.path] = _ModelError(error.path, False, "text_or_list", {})
    return [error for path, error in by_path.items() if path not in inner]


def _found(
    data: Any, location: tuple[str | int, ...], kind: str, limits: dict[str, Any]
) -> _ModelError:
    """The library's error with its path in the data. Its location also names the members of a
    union, which no author wrote, and has a mark where the name is wrong and not the value."""
    path: list[str | int] = []
    for number, part in enumerate(location):
        if _holds(data, part):
            data = data[part]
        elif kind != "missing" or number < len(location) - 1:
            continue
        path.append(part)
    return _ModelError(tuple(path), location[-1:] == ("[key]",), kind, limits)


def _holds(data: Any, part: str | int) -> bool:
    if isinstance(data, list):
        return isinstance(part, int) and part < len(data)
    return isinstance(data, dict) and part in data


def _problem(model: type[BaseModel], document: Document, error: _ModelError) -> Problem:
    path = error.path
    name = clip(path[-1]) if path else "this text"
    fields = _fields_at(model, path[:-1])
    if error.kind in ("extra_forbidden", "invalid_key"):
        if new := getattr(_group_at(model, path[:-1]), "RENAMED", {}).get(name):
            return renamed_field(document.name_of(*path), name, new)
        there = _value(document.data, path[:-1])
        missing = [field for field in fields if field not in there]  # none of them twice
        return Problem(
            document.name_of(*path),
            "field-unknown",
            f'There is no field "{name}"{_within(path)}.{did_you_mean(name, missing)}',
            f"The fields here are {', '.join(fields)}." if fields else "Delete it.",
        )
    if error.kind == "missing":
        return Problem(
            document.name_of(*path[:-1]),
            "field-missing",
            f'The field "{name}" is missing{_within(path)}.',
            f'Add a line "{name}: ...". {fields.get(name, "")}'.rstrip(),
        )
    value = path[-1] if error.of_name else _value(document.data, path)
    named = path[:-1] if error.of_name else path  # an item goes by the name of its list
    field = next((clip(part) for part in reversed(named) if isinstance(part, str)), name)
    about = fields.get(field) or _fields_at(model, path[:-2]).get(field, "")
    item = path != () and isinstance(path[-1], int) and not error.of_name
    fits = _fitting(model, document.data, path)
    message, hint = describe(FieldError(error.kind, error.limits, field, value, about, item, fits))
    place = document.name_of(*path) if error.of_name else document.place_of(*path)
    return Problem(place, "field-value", message, hint)


def renamed_field(place: Place, old: str, new: str, code: str = "field-unknown") -> Problem:
    """The problem of a field that had the name `old` in an earlier version."""
    return Problem(
        place,
        code,
        f'The field "{old}" is now called "{new}".',
        f"Write {new}: in its place.",
    )


def _fitting(model: type[BaseModel], data: Any, path: FieldPath) -> Fits:
    """A test of whether another value would be valid at this path, with all else unchanged."""

    def fits(value: object) -> bool:
        changed = deepcopy(data)
        _value(changed, path[:-1])[path[-1]] = value
        try:
            model.model_validate(changed)
        except ValidationError as wrong:
            errors = wrong.errors(include_url=False, include_input=False)
            found = [_found(changed, e["loc"], e["type"], {}).path for e in errors]
            return not any(other[: len(path)] == path for other in found)
        return True

    return fits if path else lambda _: False


def _within(path: FieldPath) -> str:
    if len(path) < 2:
        return ""
    group = path[-2]
    return f" in item {group + 1}" if isinstance(group, int) else f' in "{clip(group)}"'


def _value(data: Any, path: FieldPath) -> Any:
    for part in path:
        data = data[part]
    return data


def _group_at(model: type[BaseModel], path: FieldPath) -> type[BaseModel] | None:
    """The model of the group at a path; None where the path leads to no group."""
    kind: object = model
    for part in path:
        group = _model_in(kind)
        field = group.model_fields.get(str(part)) if group else None
        kind = field.annotation if field else _item_of(kind)
    return _model_in(kind)


def _fields_at(model: type[BaseModel], path: FieldPath) -> dict[str, str]:
    """The fields of the group at a path, with their descriptions; empty when it has none."""
    group = _group_at(model, path)
    if group is None:
        return {}
    return {name: field.description or "" for name, field in group.model_fields.items()}


def _choices(kind: object) -> list[object]:
    """A type without its annotations, as the list of what it may be."""
    if get_origin(kind) is Annotated:
        return _choices(get_args(kind)[0])
    if get_origin(kind) in (Union, UnionType):
        return [choice for part in get_args(kind) for choice in _choices(part)]
    return [kind]


def _model_in(kind: object) -> type[BaseModel] | None:
    models = (c for c in _choices(kind) if isinstance(c, type) and issubclass(c, BaseModel))
    return next(models, None)


def _item_of(kind: object) -> object:
    """What a list or a mapping holds."""
    return next((get_args(c)[-1] for c in _choices(kind) if get_origin(c) in (list, dict)), None)
