"""Lengths, masses and money as a person writes them, and the only conversions between units."""
