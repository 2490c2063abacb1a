"""Validates the fields of a YAML document with a pydantic model.

Every error becomes a `Problem` at the place of the field. `field_errors` describes wrong values;
unknown, renamed and missing fields are described here.
"""

from __future__ import annotations

from collections.abc import Iterable
from copy import deepcopy
from dataclasses import dataclass
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from chorus_handbook.problems import Place, Problem, did_you_mean, in_quotes
from chorus_handbook.source.document import Document, FieldPath
from chorus_handbook.source.field_errors import FieldError, describe
from chorus_handbook.source.suggestions import Fits
from chorus_handbook.source.text import clip

Typed = TypeVar("Typed", bound=BaseModel)

#: At most this many errors of one text are reported. A text with more is probably one of another
#: kind.
_MOST_PROBLEMS = 40


def validate(model: type[Typed], document: Document) -> tuple[Typed | None, list[Problem]]:
    """Validate a document. Returns an instance of `model` and no problems, or None and a problem
    for each wrong field."""
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
    """One of pydantic's errors.

    path: the names and indexes that lead to the value.
    of_name: whether the name of the field is wrong, not its value.
    kind, context: see `FieldError`.
    """

    path: FieldPath
    of_name: bool
    kind: str
    context: dict[str, Any]


def _deepest(found: Iterable[_ModelError]) -> list[_ModelError]:
    """The errors to report, at most one for each value. For a field that may have several types,
    pydantic reports an error for each type; the one deepest in the data is nearest to what the
    author meant, so only that one is returned."""
    by_path: dict[FieldPath, _ModelError] = {}
    inner: set[FieldPath] = set()
    for error in found:
        inner.update(error.path[:depth] for depth in range(len(error.path)))
        other = by_path.setdefault(error.path, error)
        if {other.kind, error.kind} == {"string_type", "list_type"}:
            by_path[error.path] = _ModelError(error.path, False, "text_or_list", {})
    return [error for path, error in by_path.items() if path not in inner]


def _found(
    data: Any, location: tuple[str | int, ...], kind: str, context: dict[str, Any]
) -> _ModelError:
    """One of pydantic's errors with its path in the data. pydantic's `location` also contains names
    of types, which are not in the data, and ends with "[key]" when the name of a field is wrong."""
    path: list[str | int] = []
    for number, part in enumerate(location):
        if _contains(data, part):
            data = data[part]
        elif kind != "missing" or number < len(location) - 1:
            continue
        path.append(part)
    return _ModelError(tuple(path), location[-1:] == ("[key]",), kind, context)


def _contains(data: Any, part: str | int) -> bool:
    """Whether the data is a list that has an item of this index, or a group of fields that has a
    field of this name."""
    if isinstance(data, list):
        return isinstance(part, int) and part < len(data)
    return isinstance(data, dict) and part in data


def _problem(model: type[BaseModel], document: Document, error: _ModelError) -> Problem:
    """The problem to report for one of pydantic's errors: for an unknown, renamed or missing field
    it is made here, for a wrong value by `field_errors.describe`."""
    path = error.path
    name = clip(path[-1]) if path else "this text"
    fields = _fields_at(model, path[:-1])
    if error.kind in ("extra_forbidden", "invalid_key"):
        if new := getattr(_group_at(model, path[:-1]), "RENAMED", {}).get(name):
            return renamed_field(document.name_of(*path), name, new)
        there = _value(document.data, path[:-1])
        missing = [field for field in fields if field not in there]  # suggest only these
        return Problem(
            document.name_of(*path),
            "field-unknown",
            f'There is no field "{name}"{_within(path)}.{did_you_mean(name, missing)}',
            f"Write one of these: {in_quotes(fields)}." if fields else "Delete it.",
        )
    if error.kind == "missing":
        return Problem(
            document.name_of(*path[:-1]),
            "field-missing",
            f'The field "{name}" is missing{_within(path)}.',
            f'Add a line "{name}: ...". About this field: {fields.get(name, "")}'.removesuffix(
                " About this field: "
            ),
        )
    value = path[-1] if error.of_name else _value(document.data, path)
    named = path[:-1] if error.of_name else path  # an item of a list has the name of the list
    field = next((clip(part) for part in reversed(named) if isinstance(part, str)), name)
    about = fields.get(field) or _fields_at(model, path[:-2]).get(field, "")
    item = path != () and isinstance(path[-1], int) and not error.of_name
    fits = _fitting(model, document.data, path)
    message, hint = describe(FieldError(error.kind, error.context, field, value, about, item, fits))
    place = document.name_of(*path) if error.of_name else document.place_of(*path)
    return Problem(place, "field-value", message, hint)


def renamed_field(place: Place, old: str, new: str, code: str = "field-unknown") -> Problem:
    """The problem of a field that is written with the name that it had in an earlier version."""
    return Problem(
        place,
        code,
        f'The field "{old}" is now called "{new}".',
        f'Write "{new}:" in its place.',
    )


def _fitting(model: type[BaseModel], data: Any, path: FieldPath) -> Fits:
    """A function that says whether another value would be valid at this path, if it stood there in
    the data."""

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
    """Words to add to a message about the field at this path: in which item or group the field is,
    such as ` in "goals"`; an empty string for a field at the top level."""
    if len(path) < 2:
        return ""
    group = path[-2]
    return f" in item {group + 1}" if isinstance(group, int) else f' in "{clip(group)}"'


def _value(data: Any, path: FieldPath) -> Any:
    """The value at a path in the plain data of a document. Raises KeyError or IndexError when there
    is none."""
    for part in path:
        data = data[part]
    return data


def _group_at(model: type[BaseModel], path: FieldPath) -> type[BaseModel] | None:
    """The model of the group of fields at a path; None when there is no group."""
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
    """The members of a union type, without annotations; for other types, the type itself."""
    if get_origin(kind) is Annotated:
        return _choices(get_args(kind)[0])
    if get_origin(kind) in (Union, UnionType):
        return [choice for part in get_args(kind) for choice in _choices(part)]
    return [kind]


def _model_in(kind: object) -> type[BaseModel] | None:
    """The model that a type is, or the first that is among the members of a union type; None if
    there is none."""
    models = (c for c in _choices(kind) if isinstance(c, type) and issubclass(c, BaseModel))
    return next(models, None)


def _item_of(kind: object) -> object:
    """The type of the items of a list type, or of the values of a dict type."""
    return next((get_args(c)[-1] for c in _choices(kind) if get_origin(c) in (list, dict)), None)
