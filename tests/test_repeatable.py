"""Property tests draw the same cases whatever else a test process has run."""

from __future__ import annotations

import os

import pytest
from hypothesis.internal.conjecture.providers import HypothesisProvider


@pytest.mark.skipif("HYPOTHESIS_PROFILE" in os.environ, reason="a profile that draws by chance")
def test_no_case_comes_from_the_modules_that_are_loaded() -> None:
    import chorus_handbook.pipeline

    assert chorus_handbook.pipeline
    constants = HypothesisProvider(None)._local_constants
    assert not any(constants.set_for_type(kind) for kind in ("integer", "float", "string"))
