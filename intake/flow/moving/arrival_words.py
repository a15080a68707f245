"""What was seen of a box on arrival, in words: the same on the report, in the letter and on its packing list."""

from intake.flow.moving.mass_changes import mass_change_words
from intake.model.boxes import CARTON_FAULTS, SEAL_FAULTS, Box, BoxState


def fault_words(box: Box) -> str:
    """Write what has changed of a box since dispatch: carton, seal, mass; empty where it arrived as it left.

    >>> from intake.model.boxes import CartonState
    >>> fault_words(Box(number="B1-56", carton=CartonState.CRUSHED))
    'carton crushed'
    """
    words = []
    if box.carton in CARTON_FAULTS:
        words.append(f"carton {box.carton}")
    if box.seal_state in SEAL_FAULTS:
        words.append(f"seal {box.seal or 'of the packing'}: {box.seal_state}")
    return "; ".join(filter(None, (*words, mass_change_words(box))))


def note_words(box: Box) -> str:
    """Write the note of a box; of one that has arrived with what was seen of it then, and that the note is of the box.

    A note that was written before the departure is kept on arrival where nothing else is noted, so that nobody knows
    of an arrived box when its note was written.
    """
    if box.state in (BoxState.OPEN, BoxState.CLOSED):
        return box.note
    faults, note = fault_words(box), box.note.strip().removesuffix(".")
    seen = f"Seen on arrival: {faults}." if faults else ""
    return " ".join(filter(None, (seen, f"Note of the box: {note}." if note else "")))
