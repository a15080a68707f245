"""Rows of a person's own lists in, one plan of changes out."""
