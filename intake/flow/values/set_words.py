"""What is to be said of the volumes of a set, beside those that it lacks."""

from collections.abc import Iterator

from intake.valuing.sets import SetState


def set_remarks(state: SetState) -> Iterator[str]:
    """Yield what is odd about the volumes of a set: those that hold the same number, those that cannot be read."""
    for one, other in state.overlaps:
        yield f"volumes {one} and {other} overlap"
    for name in state.unclear:
        yield f"volume {name!r} is not understood, and is in no count of the volumes"
