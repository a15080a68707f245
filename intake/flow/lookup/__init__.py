"""Identify a text, resolve what a person names, search, and the words for what was found."""
