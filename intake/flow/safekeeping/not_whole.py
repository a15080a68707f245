"""What a check found is said until one finds the library whole: by its status, the desk, every step that writes."""

from collections.abc import Iterable
from pathlib import Path

from intake.edges.store.check_mark import CheckMark, check_mark, mark_not_whole, mark_of, remove_mark
from intake.edges.store.library import Library
from intake.errors import StoreError
from intake.flow.safekeeping.finding_words import finding_words
from intake.model.findings import FindingKind, LibraryFinding
from intake.units.advice import advice

_WHICH_TELLS = (
    "run 'intake check', which tells what to do",
    "check the library, which tells what to do",
)


def keep_mark(library: Library, found: Iterable[LibraryFinding], entries: int) -> None:
    """Mark a library that a check or a backup found not whole, or take the mark of one that it found whole.

    A head that no entry has may have been mistyped, and marks nothing.

    Args:
        library: that was looked through.
        found: notes count for nothing.
        entries: number of the latest entry of its ledger.
    """
    wrong = [finding for finding in found if not finding.kind.is_note]
    real = [finding for finding in wrong if finding.kind is not FindingKind.HEAD_UNKNOWN]
    if library.read_only:
        return
    if real:
        mark_not_whole(library.folder, mark_of(library.now(), entries, real))
    elif not wrong:
        remove_mark(library.folder)


def not_whole_words(folder: Path) -> str:
    """Say that the library in a folder was found not whole, and what that means for whoever works on; "" for others."""
    mark = check_mark(folder)
    return "" if mark is None else f"This library {_found(mark)}; {advice(*_WHICH_TELLS)}."


def refuse_marked(library: Library) -> None:
    """Refuse a library that was found not whole.

    Raises:
        StoreError: it was.
    """
    mark = check_mark(library.folder)
    if mark is not None:
        raise StoreError(f"The library {library.place}", _found(mark), _WHICH_TELLS)


def _found(mark: CheckMark) -> str:
    more = f", and {mark.count - 1} more" if mark.count > 1 else ""
    what = f"{finding_words(mark.first)}{more}"
    so = ", so what is booked now may be lost" if mark.is_of_ledger else ""
    return f"was found not whole on {mark.found:%Y-%m-%d} ({what}){so}"
