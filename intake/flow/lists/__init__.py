"""Bring a person's lists in."""
