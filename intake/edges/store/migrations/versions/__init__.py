"""One module for each step, in the order of `down_revision`."""
