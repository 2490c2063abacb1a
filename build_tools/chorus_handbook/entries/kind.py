"""The definition of a kind of content, such as exercises: its name, fields and folder.

Whatever handles files asks the `Kind` instead of testing for exercises or pages, so that a new kind
needs only a new `Kind` and its line in `kinds`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from chorus_handbook.chorus.model import Model
from chorus_handbook.source.names import as_name

Fields = TypeVar("Fields", bound=Model)


@dataclass(frozen=True, slots=True)
class Kind(Generic[Fields]):
    """A kind of content.

    name: what messages call one such file, in lower case ("exercise").
    fields: the model that validates the fields at the top of the file.
    folder: the folder of the files, whose paths are `<folder>/<slug>.md`. If it is empty, the files
        are anywhere outside the folders of the other kinds.
    list_title: the title of the page `<folder>/index.md`, which lists all files of the kind and is
        in the menu. If it is empty, there is no such page, and the page of each file is in the
        menu.
    notation: whether a file may contain music. Only exercises may.
    placeholders: texts in a newly made file that the author has to replace.
    as_name: a function that turns any text into the nearest valid slug. A file name that it would
        change is refused.
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
        """The name with its article: "an exercise"."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"

    @property
    def required(self) -> list[str]:
        """The names of the fields that every file must have."""
        return [name for name, field in self.fields.model_fields.items() if field.is_required()]

    def page(self, slug: str) -> str:
        """The path of the file with this slug, below the handbook's folder; its page has the same
        path."""
        return f"{self.folder}/{slug}.md" if self.folder else f"{slug}.md"
