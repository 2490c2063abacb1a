"""The kind "page": free text such as a page about voice care.

Every .md file outside the folders of the other kinds is a page. It may begin with the field
`title:` between two lines "---"; otherwise its title is its first heading, or else the name of the
file.
"""

from __future__ import annotations

from chorus_handbook.chorus.model import Line, Model
from chorus_handbook.entries.kind import Kind


class PageFields(Model):
    """The fields of a page, all of them optional."""

    title: Line | None = None


PAGE = Kind("page", PageFields)
