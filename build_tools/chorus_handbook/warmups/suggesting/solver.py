"""Solves an integer program with the library HiGHS, which no other module imports.

The import waits until something is solved. HiGHS runs in one thread with a fixed seed, and its work
is limited by the number of nodes that it searches, never by a clock, so that the same program has
the same solution on a fast computer and on a slow one.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from math import floor, inf

from chorus_handbook.warmups.suggesting.program import Program, Solution

#: How many nodes are searched at most (our choice: about half a minute for 500 exercises, and far
#: more than 100 exercises need).
MOST_NODES = 500
#: The worth of a solution is a whole number, so if no solution can be worth a whole one more, it is
#: the best.
_PROVEN = 0.999


def solve(
    program: Program, *, nodes: int = MOST_NODES, any_solution: bool = False
) -> Solution | None:
    """The best solution found within `nodes` nodes; None if none was found. With `any_solution`,
    the first one found, which only shows that the conditions can be met."""
    import highspy
    import numpy as np

    columns, rows = program.columns, program.rows
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(columns), len(rows)
    lp.sense_ = highspy.ObjSense.kMaximize
    lp.col_cost_ = np.array([0 if any_solution else one.worth for one in columns], dtype=float)
    lp.col_lower_ = np.zeros(len(columns))
    lp.col_upper_ = np.array([one.high for one in columns], dtype=float)
    lp.row_lower_ = np.array([-inf if row.least is None else row.least for row in rows])
    lp.row_upper_ = np.array([inf if row.most is None else row.most for row in rows])
    kind = highspy.HighsVarType
    lp.integrality_ = [kind.kInteger if one.whole else kind.kContinuous for one in columns]
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0, *(len(row.terms) for row in rows)])
    lp.a_matrix_.index_ = np.array([column for row in rows for column in row.terms], dtype=int)
    lp.a_matrix_.value_ = np.array([x for row in rows for x in row.terms.values()], dtype=float)
    with _quiet():
        highs = highspy.Highs()
    options: dict[str, bool | float | str] = {
        **{"output_flag": False, "threads": 1, "parallel": "off", "random_seed": 1},
        **{"mip_max_nodes": nodes, "mip_rel_gap": 0.0, "mip_abs_gap": _PROVEN},
        **({"mip_max_improving_sols": 1} if any_solution else {}),
    }
    for name, value in options.items():
        highs.setOptionValue(name, value)
    highs.passModel(lp)
    highs.run()
    info = highs.getInfo()
    if info.primal_solution_status != int(highspy.SolutionStatus.kSolutionStatusFeasible):
        return None
    worth = round(info.objective_function_value)
    bound = (
        worth
        if highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
        else info.mip_dual_bound
    )
    values = tuple(highs.getSolution().col_value)
    return Solution(values, worth, floor(bound + 1e-6), info.mip_node_count)


@contextmanager
def _quiet() -> Iterator[None]:
    """Suppresses standard output: HiGHS prints a greeting there before it can be told not to."""
    kept = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
