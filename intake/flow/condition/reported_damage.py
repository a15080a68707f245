"""The damage to a copy that is on the discrepancy report: what it rules out, and what a picture of it does not do."""

from intake.edges.store.queries.boxes import damage_of_copies
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.model.editions import UNSEEN, Copy
from intake.valuing.condition import damage_words


def reported_damage(reader: LibraryReader, copy: Copy) -> str:
    """Return what was reported of the damage to a copy, in words; empty where nothing was."""
    return damage_words(damage_of_copies(reader, [copy.accession]).get(copy.accession))


def refuse_damaged(reader: LibraryReader, copy: Copy) -> None:
    """Refuse to record by one touch that a copy has no new defect, where the carrier is told of its damage.

    Raises:
        RefusedError: damage to it is on the discrepancy report.
    """
    damage = reported_damage(reader, copy)
    if damage:
        raise RefusedError(
            f"Copy {copy.accession}",
            f"is not as it was before: it {damage}, by the discrepancy report",
            "say what was seen under 'Condition and printing'; if the report is wrong, take it back",
        )


def can_be_reported(copy: Copy) -> bool:
    """Return whether damage to a copy can be put on the discrepancy report: it came out of a box."""
    return copy.box is not None and copy.state not in UNSEEN


def damage_picture_words(reader: LibraryReader, copy: Copy) -> str:
    """Return what a picture of the damage to a copy did, and what it did not: by itself it reports nothing."""
    kept = f"The picture of {copy.accession} is kept."
    damage = reported_damage(reader, copy)
    if damage:
        return f"{kept} It {damage}, by the discrepancy report."
    if can_be_reported(copy):
        return f"{kept} The damage is not reported yet: nothing of it is in the letter to the carrier."
    return f"{kept} No damage is reported: it did not come out of a box."
