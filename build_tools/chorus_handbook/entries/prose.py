"""Pages that authors write whole: every .md file in no other kind's folder.

They may begin with a field `title:` between two --- lines; without one, their first heading or
the file's name serves.
"""

from __future__ import annotations

from chorus_handbook.chorus.model import Line, Model
from chorus_handbook.entries.kind import Kind


class PageFields(Model):
    """The fields of a page."""

    title: Line | None = None


PAGE = Kind("page", PageFields)
