"""Converts exercises from another chorus's handbook for ours, for `handbook adopt`.

Throughout, "theirs" is the other handbook and "ours" the one that gets the exercises. `voices`
matches the voices of the two choruses, and `words` the words of the two vocabularies; where a match
is not clear, the command asks a person. `exercise` makes the new file of one exercise, and `links`
rewrites the links in its text. Nothing here writes any file.
"""
