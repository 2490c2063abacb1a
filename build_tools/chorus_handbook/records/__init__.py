"""Everything that follows from one file, as a record, and how it is cached.

`record` has the types, `making` makes a record, `store` loads or builds all of a handbook. `parts`
are the drawings and sounds, which are too large for a record; `drawing_pool` has drawings made by
other processes; `names` has the cache keys of parts. `inputs` are all the files that a site is made
from, `manifest` the files of a site, and `old_files` those shared with the site that it replaces.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chorus_handbook.records.record import AnyRecord, Exercise, Record
    from chorus_handbook.records.store import records_of

__all__ = ["AnyRecord", "Exercise", "Record", "records_of"]

_HOMES = {
    "AnyRecord": "record",
    "Exercise": "record",
    "Record": "record",
    "records_of": "store",
}


def __getattr__(name: str) -> object:
    """Import lazily: a build that has nothing to do needs no records."""
    if name not in _HOMES:
        raise AttributeError(name)
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
