"""Before a paper or an export is made: is the library as its ledger left it?

What others act on, an insurer, a carrier, a customs office, is refused from a library that is not: each record is
compared with the ledger, which takes some 2 s of the processor where there are 20,000 copies. For anything else it is
said where the end of the ledger, which is known cheaply, was cut off or altered.
"""

from intake.edges.store.cut_ledger import end_fault
from intake.edges.store.engines.guarded import guarded
from intake.edges.store.library import Library
from intake.edges.store.queries.replay import ReplayCount, replay
from intake.edges.store.reader import LibraryReader
from intake.errors import StoreError
from intake.flow.safekeeping.finding_words import finding_words
from intake.model.findings import LibraryFinding
from intake.units.advice import advice

REMEDY = (
    "run 'intake check', which tells everything that is wrong, and how to get it back",
    "check the library, which tells everything that is wrong, and how to get it back",
)


def end_caution(library: Library) -> str:
    """Say what is wrong with the end of the ledger; "" where nothing is known to be."""
    with library.reading(noted=True) as records:
        found = end_fault(records)
    how = advice("run 'intake check'", "check the library")
    return "" if found is None else f"Caution: the library is not whole: {finding_words(found)}; {how}."


def refuse_end(library: Library) -> None:
    """Refuse a library whose ledger was cut off or altered at its end.

    Raises:
        StoreError: it was.
    """
    with library.reading(noted=True) as records:
        found = end_fault(records)
    if found is not None:
        raise _not_whole(library, found, "")


def refuse_not_whole(library: Library, records: LibraryReader) -> None:
    """Refuse to make a paper that others act on of records that are not as the ledger left them.

    Args:
        library: for its name.
        records: opened with the notes of its folder, in the transaction in which the paper is gathered.

    Raises:
        StoreError: one is not, or the ledger was cut off or altered at its end.
    """
    found = end_fault(records) or next(guarded(lambda: replay(records, None, ReplayCount())), None)
    if found is not None:
        raise _not_whole(library, found, ", so no paper that others act on is made of it")


def _not_whole(library: Library, found: LibraryFinding, so: str) -> StoreError:
    return StoreError(f"The library {library.place}", f"is not whole ({finding_words(found)}){so}", REMEDY)
