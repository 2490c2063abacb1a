"""Reads MusicXML files from notation editors (MusicXML 4.0 and earlier, plain or packed as .mxl).

A file may come from a stranger, so it is not trusted. `container` finds and unpacks it; `parse`
parses it strictly, removes what singers do not need (`markup`), and validates it with the `schema`.
`places` finds the bar and part of an element for messages; `timewise` converts the rarer of the two
forms of MusicXML. Then `head` reads key and meter, `walk` and `notes` read each part, `layers`
makes voices of it, and `parts` says who sings them. `ids` prepares the file for the engraver, which
draws it as its author engraved it. The voices become a score in `music/ensemble.py`, as with all
notations.

The key signature is not the key that is sung: the exercise's field `keys` says that. Bars may be
shorter than the meter, as drawn, but not longer.
"""
