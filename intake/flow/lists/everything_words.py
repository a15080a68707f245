"""The sentences about what a folder of all records does not carry over: the ledger, pictures, in an older one lists."""

from intake.flow.lists.export_everything import ExportedFolder
from intake.units.advice import advice
from intake.units.counts import counted


def left_behind(written: ExportedFolder) -> str:
    """Say what an exported folder does not hold.

    >>> left_behind(ExportedFolder({}, 1))
    "Left out: the ledger and 1 record of pictures; a copy of the library's folder keeps them."
    """
    pictures = f" and {counted(written.pictures, 'record')} of pictures" if written.pictures else ""
    kept = advice("a copy of the library's folder keeps them", "a backup keeps them")
    return f"Left out: the ledger{pictures}; {kept}."


CARRIED_WITHOUT = (
    "An older version of this program wrote the folder: it does not say which editions were merged into others, nor "
    "what came from which list. A list that is imported here again is new: an edition that was merged it makes again, "
    "with its copies and their values; what it says takes the place of what was recorded since. Look at its --dry-run "
    "first, or export again with this version."
)
"""Said of a library that is made from such a folder."""
