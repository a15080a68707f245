"""The sentences about what a folder of all records does not carry over: pictures, and what only the ledger knows."""

from collections.abc import Iterator

from intake.flow.lists.export_everything import ExportedFolder
from intake.units.advice import advice
from intake.units.counts import counted

MERGES_SHOWN = 10


def left_behind_sentences(written: ExportedFolder) -> Iterator[str]:
    """Yield what an exported folder does not hold, and what that means for lists.

    >>> for sentence in left_behind_sentences(ExportedFolder({}, 1, [("G2", "G1")], ["copies.csv"])):
    ...     print(sentence.partition(". ")[0])
    Left out: the ledger and 1 record of pictures; a copy of the library's folder keeps them.
    Not in the folder: that 1 edition was merged into another ('G2' into 'G1')
    Not in the folder: what came from which list (copies.csv)
    'intake backup' keeps all of it, and 'intake restore' brings it back.
    """
    pictures = f" and {counted(written.pictures, 'record')} of pictures" if written.pictures else ""
    kept = advice("a copy of the library's folder keeps them", "a backup keeps them")
    yield f"Left out: the ledger{pictures}; {kept}."
    merged, lists = written.merged, written.lists
    if merged:
        shown = ", ".join(f"{away!r} into {into!r}" for away, into in merged[:MERGES_SHOWN])
        more = f" and {len(merged) - MERGES_SHOWN} more" if len(merged) > MERGES_SHOWN else ""
        count = f"{counted(len(merged), 'edition')} {'was' if len(merged) == 1 else 'were'} merged into another"
        yield (
            f"Not in the folder: that {count} ({shown}{more}). In a library made from it, a list that still has such "
            "an edition makes it again, with its copies and their values: let the list name the edition that stays."
        )
    if lists:
        yield f"Not in the folder: what came from which list ({', '.join(lists)}). {OF_LISTS}"
    if merged or lists:
        yield advice(
            "'intake backup' keeps all of it, and 'intake restore' brings it back.", "A backup keeps all of it."
        )


OF_LISTS = (
    "In a library made from it, a list is new: what it says takes the place of what was recorded since its import, and "
    "it is not told what the list no longer has."
)

CARRIED_WITHOUT = (
    "The folder does not say which editions were merged into others, nor what came from which list. A list that is "
    "imported here again is new: an edition that was merged it makes again, with its copies and their values; what it "
    "says takes the place of what was recorded since. Look at its --dry-run first. 'intake restore' from a backup "
    "carries all of it."
)
"""Said of every library that is made from a folder."""
