"""The state of the shelves, room for one more, the whole arranged anew, and checks."""
