"""Grey pictures in, readings out."""
