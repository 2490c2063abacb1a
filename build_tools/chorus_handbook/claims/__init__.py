"""Checks of what authors state against what was measured; one file for each check.

`checks` lists those on one exercise and on its notation alone, `stock` those on all exercises
together. A check skips what is missing: an exercise without notation has nothing to measure.
Notices that the author has answered in the file are returned apart from the other problems.
"""
