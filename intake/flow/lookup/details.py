"""Everything that is recorded of one edition, one copy or one box, for a page of its own."""

from dataclasses import dataclass

from intake.edges.store.queries.boxes import pictures_of_box, taken_out_of
from intake.edges.store.queries.editions import editions_of_set, printings_of
from intake.edges.store.queries.ledger_entries import history_of_record
from intake.edges.store.queries.reversals import last_step_of_box
from intake.edges.store.queries.sightings import sightings_of
from intake.edges.store.queries.values import valuations_of
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.search import EditionLine, edition_lines
from intake.model.boxes import Box
from intake.model.changes import LedgerEntry
from intake.model.editions import SEEN, BookSet, Copy, Edition, Printing
from intake.model.sightings import Picture
from intake.model.valuations import Valuation
from intake.valuing.counting import counting_value
from intake.weighing.plausible import contradicts


@dataclass(frozen=True, slots=True, kw_only=True)
class EditionDetails:
    """An edition with its copies in one line, its printings, the set it belongs to, and its history.

    Attributes:
        is_doubted: its stated mass, size and extent cannot all be right.
    """

    edition: Edition
    line: EditionLine
    printings: tuple[Printing, ...]
    book_set: BookSet | None
    volumes: tuple[Edition, ...]
    entries: tuple[LedgerEntry, ...]
    is_doubted: bool


def edition_details(reader: LibraryReader, edition_id: int) -> EditionDetails | None:
    """Return what is recorded of an edition, None if there is none with this id."""
    edition = reader.get(Edition, edition_id)
    if edition is None:
        return None
    return EditionDetails(
        edition=edition,
        line=edition_lines(reader, (edition,))[0],
        printings=printings_of(reader, edition.id),
        book_set=reader.get(BookSet, edition.set_id) if edition.set_id is not None else None,
        volumes=editions_of_set(reader, edition.set_id) if edition.set_id is not None else (),
        entries=history_of_record(reader, "edition", edition.id),
        is_doubted=contradicts(edition),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyDetails:
    """A copy's edition, printing, values (oldest first), and the SHA-256 of each picture of it.

    Attributes:
        counting: which of the values counts where no basis is asked for; None where there is none.
        out_of: the box that it was taken out of; empty where it was in none, or is not taken out.
    """

    edition: Edition
    printing: Printing | None
    valuations: tuple[Valuation, ...]
    counting: Valuation | None
    pictures: tuple[str, ...]
    out_of: str


def copy_details(reader: LibraryReader, copy: Copy) -> CopyDetails | None:
    """Return what is recorded of a copy, None if its edition is not in the library."""
    edition = reader.get(Edition, copy.edition_id)
    if edition is None:
        return None
    valuations = valuations_of(reader, copy.accession)
    return CopyDetails(
        edition=edition,
        printing=reader.get(Printing, copy.printing_id) if copy.printing_id is not None else None,
        valuations=valuations,
        counting=counting_value(valuations),
        pictures=pictures_of(reader, copy),
        out_of=taken_out_of(reader, [copy.accession]).get(copy.accession, "") if copy.state in SEEN else "",
    )


def last_step(reader: LibraryReader, box: Box) -> LedgerEntry | None:
    """Return the newest step of a box that stands: of itself, or of what was put into it or taken out of it."""
    return last_step_of_box(reader, box.number)


def pictures_of(reader: LibraryReader, copy: Copy) -> tuple[str, ...]:
    """Return the SHA-256 of each picture of a copy, in the order in which they were first taken."""
    sightings = sightings_of(reader, copy.accession)
    return tuple(dict.fromkeys(sighting.picture for sighting in sightings if sighting.picture))


def pictures_on_arrival(reader: LibraryReader, box: Box) -> tuple[str, ...]:
    """Return the SHA-256 of each photograph of a box as it arrived."""
    return pictures_of_box(reader, box.number)


def kept_picture(reader: LibraryReader, sha256: str) -> Picture | None:
    """Return the record of a picture, None if the library has none with this digest."""
    return reader.get(Picture, sha256)
