"""Benchmarks: what the handbook costs beyond its floors, as ratios measured in one run.

`python -m chorus_handbook.bench` measures the project in the current folder. A floor is the least
that any program could do for the same pages and scores: plain MkDocs on the finished Markdown, and
the raw engraver on those drawings that readers are shown. Times alone say little on a
shared machine; the ratio to a floor measured beside it does.
"""
