"""The checks of exercises: what an author states is compared with what was measured.

Each check has a module of its own. A *claim* is a statement that can be measured, such as the field
`range`. `checks` lists the checks of one exercise, `stock` those of all exercises together. A check
reads a `Subject` (`subject`): an exercise with everything known about it. It skips what is missing;
an exercise without music, for example, has no range to check.
"""
