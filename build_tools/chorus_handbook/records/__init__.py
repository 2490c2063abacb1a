"""One file, whole: its record, how it is made, and how it is kept.

`record` is the type, `making` the one function that makes it, `store` keeps records one by one.
`parts` are what is too large for a record, `names` says where they are stored, and `dependencies`
what a stored result depends on beside its arguments.
"""

from chorus_handbook.records.record import AnyRecord, Exercise, Record
from chorus_handbook.records.store import records_of

__all__ = ["AnyRecord", "Exercise", "Record", "records_of"]
