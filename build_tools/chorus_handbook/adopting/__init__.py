"""Takes exercises over from another chorus's handbook, for `handbook adopt`.

`voices` matches the voices of the two choruses and `words` those of the two vocabularies, as far as
that can be decided; the rest is a question for people. `exercise` makes the new file of one
exercise; `links` are those in its text. Nothing here writes anything.
"""
