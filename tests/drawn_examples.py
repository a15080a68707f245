"""How many examples a test draws: all of them in CI, a quarter in the run that a person waits for."""

from hypothesis import settings

WHOLE = 100
FAST = 25


def examples(whole: int) -> int:
    """Return how many a test draws now for which `WHOLE` would be too many or too few."""
    return max(1, whole * settings().max_examples // WHOLE)
