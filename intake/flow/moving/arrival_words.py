"""What was seen of a box on arrival, in words: the same on the report, in the letter and on its packing list."""

from intake.flow.moving.mass_changes import mass_change_words
from intake.model.boxes import CARTON_FAULTS, SEAL_FAULTS, Box, BoxState
from intake.units.language import say

BEFORE_SIGNING = "Write it on the carrier's delivery note before you sign, and photograph the box before opening it."


def fault_words(box: Box) -> str:
    """Write what has changed of a box since dispatch: carton, seal, mass; empty where it arrived as it left.

    >>> from intake.model.boxes import CartonState, SealState
    >>> fault_words(Box(number="B1-56", carton=CartonState.CRUSHED))
    'carton crushed'
    >>> fault_words(Box(number="B1-56", seal_state=SealState.ABSENT))
    'seal absent on arrival, none recorded at packing'
    """
    words = []
    if box.carton in CARTON_FAULTS:
        words.append(say("carton {state}", state=say(box.carton.value)))
    if box.seal_state in SEAL_FAULTS:
        seen = say(box.seal_state.value)
        words.append(
            say("seal {seal}: {state}", seal=box.seal, state=seen)
            if box.seal
            else say("seal {state} on arrival, none recorded at packing", state=seen)
        )
    return "; ".join(filter(None, (*words, mass_change_words(box))))


def note_words(box: Box) -> str:
    """Write the note of a box; of one that has arrived with what was seen of it then, and that the note is of the box.

    A note that was written before the departure is kept on arrival where nothing else is noted, so that nobody knows
    of an arrived box when its note was written.
    """
    if box.state in (BoxState.OPEN, BoxState.CLOSED):
        return box.note
    faults, note = fault_words(box), box.note.strip().removesuffix(".")
    seen = say("Seen on arrival: {faults}.", faults=faults) if faults else ""
    return " ".join(filter(None, (seen, say("Note of the box: {note}.", note=note) if note else "")))
