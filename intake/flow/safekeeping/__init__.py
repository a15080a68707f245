"""Keeping the library safe: checking it, backing it up, getting it back."""
