"""The words of the trade as frozen dataclasses; building one has no side effect."""
