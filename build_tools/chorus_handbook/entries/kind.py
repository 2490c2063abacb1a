"""A kind of content: what is known of all its files, before any of them is read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from chorus_handbook.chorus.model import Model
from chorus_handbook.source.names import as_name

Fields = TypeVar("Fields", bound=Model)


@dataclass(frozen=True, slots=True)
class Kind(Generic[Fields]):
    """What messages call one of the kind, its typed fields, and the folder that its files lie in:
    `<folder>/<slug>.md`. Without a folder they lie anywhere outside those of the other kinds.

    `list_title`: the title of the page `<folder>/index.md`, which lists them all and stands in the
    menu. Without one, each page stands in the menu itself. `notation`: whether it may hold notes,
    which so far are read of exercises only.
    `placeholders` are texts that a new file begins with. `as_name` gives the slug nearest to a
    name; one that it changes is refused.
    """

    name: str
    fields: type[Fields]
    folder: str = ""
    list_title: str = ""
    notation: bool = False
    placeholders: tuple[str, ...] = ()
    as_name: Callable[[str], str] = as_name

    @property
    def one(self) -> str:
        """The name with its article."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"

    @property
    def required(self) -> list[str]:
        """The fields that every file needs."""
        return [name for name, field in self.fields.model_fields.items() if field.is_required()]

    def page(self, slug: str) -> str:
        """Where the page of a slug stands, which is where its file lies."""
        return f"{self.folder}/{slug}.md" if self.folder else f"{slug}.md"
