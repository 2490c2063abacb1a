"""Records: all that is known of one file, computed once and cached until the file changes.

`record` defines the types, `making` makes the record of a file, and `store` loads the records of a
whole handbook from the cache or has them made. Drawings and sounds are too large for records:
`parts` makes and loads them, `names` computes their cache keys, and `drawing_pool` makes drawings
in other processes. For builds that replace an earlier site, `inputs` lists the files a site is made
from, `manifest` the files of a site, and `old_files` shares unchanged files with the earlier site.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chorus_handbook.records.record import AnyRecord, Exercise, Record
    from chorus_handbook.records.store import records_of

__all__ = ["AnyRecord", "Exercise", "Record", "records_of"]

#: The module in which each of these names is defined.
_HOMES = {"AnyRecord": "record", "Exercise": "record", "Record": "record", "records_of": "store"}


def __getattr__(name: str) -> object:
    """Import lazily: a build that has nothing to do needs no records."""
    if name not in _HOMES:
        raise AttributeError(name)
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
