"""Runs of serials: what is covered and missing, what to look for, what could go."""
