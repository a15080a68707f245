"""The household of `tests.flow.runs.household` for every test beside this file."""

from tests.flow.runs.household import household

__all__ = ["household"]
