"""Sets in words: how complete each is, what is odd about its volumes, and in which boxes they are."""

from collections.abc import Iterator

from intake.flow.lookup.wording import volumes_words
from intake.units.counts import counted
from intake.units.language import say
from intake.valuing.sets import SetState


def set_lines(state: SetState) -> Iterator[str]:
    """Yield a set in lines: its number, what it lacks or has twice, what is odd, and what is still packed."""
    gaps = f"; missing: {volumes_words(state.gaps)}" if state.gaps else ""
    known = {True: ", complete", False: gaps, None: ", no gap known"}[state.complete]
    yield f"Set {state.set.id}  {state.set.title}: {counted(len(state.volumes), 'volume')} in the catalog{known}"
    if state.doubles:
        yield f"  more than once: {volumes_words(state.doubles)}"
    yield from (f"  {words}" for words in set_remarks(state))
    for box in dict.fromkeys(state.boxed.values()):
        names = [name for name, of_volume in state.boxed.items() if of_volume == box]
        yield f"  in box {box}: {volumes_words(names)}"


def set_remarks(state: SetState) -> Iterator[str]:
    """Yield what is odd about the volumes of a set: those that hold the same number, those that cannot be read."""
    for one, other in state.overlaps:
        yield say("{volumes} overlap", volumes=volumes_words([one, other]))
    for name in state.unclear:
        yield say("volume {name} is not understood, and is in no count of the volumes", name=repr(name))
