"""Scores from any notation editor: MusicXML 4.0 and what came before it, plain or packed.

A file is untrusted. `container` finds it in the handbook and unpacks it, `parse` reads it strictly,
has `markup` take out what no singer needs, and holds it against the `schema`; `places` says in
which bar of which part something is; `timewise` turns the rarer of its two forms into the other.
Then `head` reads key and meter, `walk` and `notes` each part measure by measure, `parts` says who
sings it, `layers` makes voices of it, and these are put together like any other music. `ids`
readies the file for the engraver, who draws it as its author made it.

Pitches are those that sound. The tonic of the key signature, taken from C4 to B4, is the one that
`keys` names. Bars may be shorter than the meter, as their author drew them; longer they cannot be.
"""
