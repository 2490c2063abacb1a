"""Benchmarks: how much time and memory the handbook needs, compared with the least that is
possible.

`python -m chorus_handbook.bench` measures the project in the current folder. A *floor* is the least
that any program would need for the same result: plain MkDocs for the finished pages, and the
engraver alone for the drawings that readers see. Results are ratios to floors measured in the same
run, because times alone mean little on a busy machine.
"""
