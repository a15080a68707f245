"""A file that is two lists in one, a catalog and copies: what each import leaves to the other, and the way on."""

from collections.abc import Sequence
from urllib.parse import urlencode

from intake.desk.steps.step_record import UPLOAD
from intake.flow.lists.headings import Unused
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.list_guess import ColumnReading

SECOND = {ListKind.COPIES: ListKind.EDITIONS, ListKind.EDITIONS: ListKind.COPIES}
"""A table may be both; each import takes what is its own."""
_LEFT_OUT = {
    ListKind.EDITIONS: (
        "Left out here: {names}. They are of titles, not of copies. A copy needs its title in the catalog: "
        "bring the same file as a catalog first, unless that is done."
    ),
    ListKind.COPIES: "Left out here: {names}. They are of single copies: bring the same file as copies afterwards.",
}
_NO_CHOICE = {
    ListKind.EDITIONS: (
        "Not understood: {names}. If it is of titles, such as a publisher or a size, bring the same file as a catalog, "
        "and choose there what it is."
    ),
    ListKind.COPIES: (
        "Not understood: {names}. If it is of single copies, such as a box, a state or a value, bring the same file as "
        "copies afterwards, and choose there what it is."
    ),
}
_GO_ON = {
    ListKind.EDITIONS: "Go on with this file as a catalog",
    ListKind.COPIES: "Go on with this file as copies",
}


def _left_out(kind: ListKind, columns: Sequence[ColumnReading]) -> tuple[ListKind, list[str]] | None:
    """Return which list the file is as well, with the headings that only that one takes; None where it is none."""
    other = SECOND.get(kind)
    headings = [
        column.guess.heading.strip()
        for column in columns
        if column.guess.unused is Unused.OTHER_LIST and column.guess.other == other and column.filled
    ]
    return (other, headings) if other and headings else None


def _not_understood(columns: Sequence[ColumnReading]) -> list[str]:
    """Return the headings of the columns that no choice may fit."""
    unknown = [column for column in columns if column.guess.unused is Unused.NOT_UNDERSTOOD and column.filled]
    return [column.guess.heading.strip() for column in unknown]


def second_list(
    kind: ListKind, columns: Sequence[ColumnReading], upload: str
) -> tuple[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """Return what is said of a file that is, or may be, two lists in one, and the link that goes on with the same file.

    Args:
        kind: of the list that it is brought as.
        columns: of the file, as far as they were understood.
        upload: the key under which the file waits.
    """
    left_out, unknown = _left_out(kind, columns), _not_understood(columns)
    if left_out is None and not (unknown and kind in SECOND):
        return (), ()
    other, headings = left_out or (SECOND[kind], [])
    said = []
    if headings:
        said.append(_LEFT_OUT[other].format(names=_quoted(headings)))
    if unknown:
        said.append(_NO_CHOICE[other].format(names=_quoted(unknown)))
    address = urlencode({"kind": other.value, f"{UPLOAD}file": upload})
    return tuple(said), ((f"/steps/import?{address}", _GO_ON[other]),)


def _quoted(headings: Sequence[str]) -> str:
    return ", ".join(f"“{heading}”" for heading in headings)
