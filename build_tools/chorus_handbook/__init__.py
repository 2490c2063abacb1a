"""A checked, engraved handbook of warm-up exercises, made from plain files.

First each file by itself, in the order of the folders: `chorus` reads who sings and which words
count; `entries` turns a file into validated content; `music` turns its notation into a score with
measured facts; `voices` says who can sing it in which key; `claims` holds what its author states
against what was measured; `engraving` draws it; `sound` puts it in time, to be heard. What follows
from one file alone is one record (`records`), made once and stored.

Then all of them together: `views` sorts exercises into lists, `pages` writes everything as Markdown
and HTML, and `mkdocs_plugin` hands that to MkDocs. `pipeline` leads through both halves.
"""

__version__ = "0.1.0"
