"""A checked, engraved handbook of warm-up exercises, made from plain files.

The folders are the pipeline, in this order: `chorus` reads who sings and which words count;
`entries` turns files into validated exercises; `music` turns their notation into scores with
measured facts; `claims` holds what authors state against what was measured; `engraving` draws;
`sound` puts them in time, to be heard; `views` sorts exercises into lists; `pages` writes all of it
as Markdown and HTML; and `mkdocs_plugin` hands that to MkDocs. `pipeline` runs the stages; each
returns its result and the `problems` it found.
"""

__version__ = "0.1.0"
