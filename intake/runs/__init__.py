"""Runs: which parts of a serial the editions collect, what is missing, and how to have it whole."""
