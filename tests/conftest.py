"""What holds for every test: no check is timed, and a slow machine fails none; how many examples are drawn."""

import pytest
from hypothesis import settings

from tests.drawn_examples import FAST, WHOLE

settings.register_profile("whole", deadline=None, max_examples=WHOLE)
settings.register_profile("fast", deadline=None, max_examples=FAST)


def pytest_configure(config: pytest.Config) -> None:
    """Draw fewer examples in the run that leaves out what is slow; CI draws all of them."""
    settings.load_profile("fast" if config.getoption("markexpr") == "not slow" else "whole")
