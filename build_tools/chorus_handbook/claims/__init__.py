"""The checks of exercises: they compare what an author states with what was measured.

Each check has a module of its own. A *claim* is a statement that can be measured, such as the field
`range`. `checks` lists the checks of one exercise, `stock` the checks of all exercises together. A
check of one exercise gets a `Subject`: the exercise with everything known about it. It yields
problems, which are errors or notices; it skips what is missing: an exercise without music, for
example, has no range to check.
"""
