"""The text of a file as HTML, and what is known of it: sections, headings, links."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from markupsafe import Markup
from pydantic import PlainSerializer, PlainValidator

from chorus_handbook.problems import Place


def stored_html(html: object) -> Markup:
    """Mark stored HTML as safe, because it was cleaned before it was stored. Raises ValueError for
    anything that is not a string."""
    if not isinstance(html, str):
        raise ValueError("HTML is a string")
    return Markup(html)


#: HTML that may be shown as it is.
Html = Annotated[Markup, PlainValidator(stored_html), PlainSerializer(str, when_used="json")]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading in a text: its level (1 to 6), its id on the page (`anchor`), and its text without
    markup."""

    level: int
    anchor: str
    text: str


@dataclass(frozen=True, slots=True)
class Section:
    """One heading of level 1 or 2 and what is below it, up to the next such heading.

    head: the heading; None for the text before the first heading.
    title: the heading as HTML.
    html: the text below the heading. In it, links within the handbook have the form of
        `addresses.Internal.url`, because it is not known yet on which page they will be shown.
    headings: the headings of lower levels in `html`.
    words: the number of words in `html`.
    place: the first line below the heading in the author's file.
    """

    head: Heading | None
    title: Html
    html: Html
    headings: tuple[Heading, ...]
    words: int
    place: Place

    @property
    def heading(self) -> str:
        """The heading as text; empty where there is none."""
        return self.head.text if self.head else ""


@dataclass(frozen=True, slots=True)
class Link:
    """The address of a link or an image as the author wrote it, and where it is in the file."""

    address: str
    place: Place


@dataclass(frozen=True, slots=True)
class Rendered:
    """The text of a file as HTML: its sections, its footnotes, and the links and images in both.
    Links that are not allowed have been reported, and are left out."""

    sections: tuple[Section, ...] = ()
    footnotes: Html = field(default_factory=Markup)
    links: tuple[Link, ...] = ()
