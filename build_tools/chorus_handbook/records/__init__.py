"""One file, whole: its record, how it is made, and how it is kept.

`record` is the type, `making` the one function that makes it, `store` keeps records one by one.
`parts` are what is too large for a record, `drawing` has other processes make them, `names` says
where they are stored. `inputs` lists what a whole site is made from, `manifest` its files, and
`old_files` are those that it shares with the site before it.
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
    """Loaded when it is asked for: a build that has nothing to do needs no record."""
    if name not in _HOMES:
        raise AttributeError(name)
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
