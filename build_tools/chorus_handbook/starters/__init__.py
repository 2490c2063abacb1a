"""What a new handbook begins with.

The folders hold a chorus.yml each, for six kinds of chorus, and for some a few exercises of their
own; `choruses` reads them, or writes a chorus.yml from lowest and highest notes. `stock` finds the
handbook whose exercises and texts a new one takes over. `exercises` chooses those that the chorus
can sing and moves their keys, `texts` takes out of the other files what would lead nowhere, and
`plans` composes a first warm-up and a routine. `handbook` puts all of it together.
"""
