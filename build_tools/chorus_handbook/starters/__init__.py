"""Makes the files of a new handbook, for `handbook init`.

Each of the folders here has a chorus.yml for one kind of chorus, and some have exercises of their
own; `choruses` reads them, or writes a chorus.yml from the lowest and highest note of each voice.
`stock` finds the handbook from which exercises and texts are copied. `exercises` chooses those that
the chorus can sing and moves their keys, `texts` removes from the other files whatever would lead
to exercises that are not copied, and `plans` composes a first warm-up and a routine. `handbook`
puts everything together.
"""
