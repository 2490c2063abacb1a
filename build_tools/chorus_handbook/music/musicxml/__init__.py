"""Reads MusicXML files from notation editors (MusicXML 4.0 and earlier, plain or packed as .mxl).

A file may come from a stranger, so it is not trusted. `reader` calls the other modules in turn:
`container` finds and unpacks the file; `parse` parses it strictly, removes what singers do not need
(`markup`), and validates the rest against the `schema`; `timewise` converts the rarer of the two
forms of MusicXML; `bounds` refuses what is too large. Then `head` reads key and meter, `walk` and
`notes` read each part, `layers` makes voices of it, and `parts` says who sings them. `ids` prepares
the file for the engraver, which draws it as its author engraved it. `places` says for messages in
which bar and part an element stands. The voices become a score in `music/ensemble.py`, as with all
notations.

The key signature is not the key that is sung: the exercise's field `keys` says that. Bars may be
shorter than the meter, but not longer.
"""
