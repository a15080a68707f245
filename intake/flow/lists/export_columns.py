"""The cells of an exported list: exactly the columns that its import reads, so that it can be imported again."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from intake.edges.exchange.outgoing import OutgoingCopy, OutgoingEdition, jacket_text
from intake.edges.sheets import Cell
from intake.model.editions import Copy, CopyState, Edition
from intake.model.valuations import Valuation
from intake.units.convert import whole


@dataclass(frozen=True, slots=True)
class ListedCopy:
    """A copy of a list: its edition, the copy with its printing, and its latest valuation."""

    edition: Edition
    outgoing: OutgoingCopy
    valuation: Valuation | None

    @property
    def copy(self) -> Copy:
        """Return the copy itself."""
        return self.outgoing.copy


def edition_name(edition: Edition) -> str:
    """Return how a list names an edition: by its key, else by its number; empty where it has neither."""
    return edition.key or edition_number(edition)


def edition_number(edition: Edition) -> str:
    """Return the number of an edition with its add-on, as a list writes it; empty where it has none."""
    return f"{edition.number or ''} {edition.add_on or ''}".strip()


def _is_packed(copy: Copy) -> bool:
    return copy.box is not None and copy.state is CopyState.PACKED


EDITION_CELLS: Mapping[str, Callable[[OutgoingEdition], Cell]] = {
    "title": lambda row: row.edition.title,
    "key": lambda row: row.edition.key,
    "number": lambda row: row.edition.number,
    "add_on": lambda row: row.edition.add_on,
    "contributors": lambda row: "; ".join(row.edition.contributors),
    "publisher": lambda row: row.edition.publisher,
    "year": lambda row: row.edition.year,
    "edition": lambda row: row.edition.statement,
    "binding": lambda row: row.edition.binding,
    "language": lambda row: row.edition.language,
    "subject": lambda row: row.edition.subject,
    "printed_in": lambda row: row.edition.printed_in,
    "call_number": lambda row: row.edition.call_number,
    "hs_heading": lambda row: row.edition.hs_heading,
    "pages": lambda row: row.edition.pages,
    "height_mm": lambda row: whole(row.edition.height_mm),
    "width_mm": lambda row: whole(row.edition.width_mm),
    "thickness_mm": lambda row: whole(row.edition.thickness_mm),
    "mass_g": lambda row: whole(row.edition.mass_g),
    "set": lambda row: row.set_title,
    "volume": lambda row: row.edition.volume,
    "collects": lambda row: row.edition.collects,
    "price": lambda row: row.edition.price,
    "currency": lambda row: row.edition.currency,
    "why": lambda row: row.edition.why,
}
"""By column of a catalog."""

COPY_CELLS: Mapping[str, Callable[[ListedCopy], Cell]] = {
    "key": lambda row: row.edition.key,
    "isbn": lambda row: edition_number(row.edition),
    "copy": lambda row: row.copy.accession,
    "box": lambda row: row.copy.box if _is_packed(row.copy) else None,
    "room": lambda row: row.outgoing.room if _is_packed(row.copy) else None,
    "printing": lambda row: row.outgoing.printing,
    "grade": lambda row: row.copy.grade.value if row.copy.grade else None,
    "jacket": lambda row: jacket_text(row.copy),
    "wrapped": lambda row: "yes" if row.copy.wrapped else None,
    "condition": lambda row: row.copy.condition,
    "note": lambda row: row.copy.note,
    "kept": lambda row: "yes" if row.copy.kept else None,
    "why": lambda row: row.copy.why,
    "value": lambda row: row.valuation.amount if row.valuation else None,
    "currency": lambda row: row.valuation.currency if row.valuation else None,
    "basis": lambda row: row.valuation.basis.value if row.valuation else None,
    "valued_on": lambda row: row.valuation.on if row.valuation else None,
    "source": lambda row: row.valuation.source if row.valuation else None,
}
"""By column of a box list. The box is that in which the copy lies: where it travelled is history, not a list."""

SEVERAL_FIELDS: Mapping[str, tuple[str, ...]] = {
    "key": ("edition_id",),
    "isbn": ("edition_id",),
    "copy": ("accession",),
    "printing": ("printing_id",),
    "jacket": ("jacket", "has_jacket"),
    "box": ("box", "state"),
}
"""The fields of a copy that a column holds, where they are not called as the column is."""
