"""The loads of the shelves, of the bookcases and of the floor under them."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import names_joined
from intake.flow.shelves.shelf_state import Shelf, read_shelves
from intake.model.places import Place
from intake.shelving.loads import BookcaseLoad, ShelfLoad, bookcase_load, shelf_load


@dataclass(frozen=True, slots=True)
class CaseReport:
    """A bookcase, the loads of its shelves from the top, and what it puts on the floor.

    Attributes:
        name: room and bookcase.
        top_heavy: the upper half carries more than the lower.
    """

    name: str
    shelves: tuple[tuple[Shelf, ShelfLoad], ...]
    load: BookcaseLoad
    top_heavy: bool

    @property
    def loads(self) -> tuple[tuple[str, ShelfLoad], ...]:
        """Return each shelf's name and load."""
        return tuple((shelf.name, load) for shelf, load in self.shelves)


def weigh_shelves(reader: LibraryReader, chosen: Sequence[Place] | None = None) -> tuple[CaseReport, ...]:
    """Weigh every bookcase with shelves, all unless some shelves are named."""
    cases: dict[str, list[Shelf]] = {}
    for shelf in read_shelves(reader, chosen):
        if shelf.bookcase is not None:
            cases.setdefault(shelf.bookcase.number, []).append(shelf)
    return tuple(_report(shelves) for shelves in cases.values())


def _report(shelves: Sequence[Shelf]) -> CaseReport:
    loads = [(shelf, shelf_load(shelf.place, shelf.books)) for shelf in shelves]
    case = shelves[0].bookcase
    assert case is not None  # noqa: S101 - only shelves of bookcases are reported
    half = len(loads) // 2
    upper = sum(load.mass_g for _, load in loads[:half])
    lower = sum(load.mass_g for _, load in loads[len(loads) - half :])
    return CaseReport(
        name=names_joined(shelves[0].path.names[:-1]),
        shelves=tuple(loads),
        load=bookcase_load(case, [load for _, load in loads]),
        top_heavy=upper > lower,
    )
