"""The command line: requests in, text out; no arithmetic and no SQL."""
