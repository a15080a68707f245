"""Finished records in, pages in millimetres out."""
