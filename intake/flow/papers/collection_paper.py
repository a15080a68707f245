"""The collection as a book: every copy with its cover, what it collects, where it stands and why it is kept.

Values, and whose books they are and where, are in it only where they are asked for.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal

from intake.documents import catalogues
from intake.documents.text_fit import from_left
from intake.edges import collection_pages, fonts
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.papers import pictures_of_copies
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.queries.values import latest_valuations
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import title_words, where_each_is, written_number
from intake.flow.papers.copy_words import binding_words, printing_words, recorded_words, signed_words
from intake.flow.papers.options import CatalogueOrder, PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource
from intake.flow.papers.print_photographs import photographs_of
from intake.flow.papers.valued_copies import refuse_none
from intake.flow.runs.named_serial import unread_words
from intake.flow.runs.run_view import stated_text
from intake.flow.runs.serial_map import SerialEdition, SerialMap, collected_parts, serial_maps
from intake.identifiers.own import serial_of
from intake.model.catalogues import CatalogueEntry, CollectionCatalogue, RulerStrip
from intake.model.editions import Copy, CopyState, Edition, Printing
from intake.model.folding import fold
from intake.model.places import PlacePath
from intake.model.schedules import Photograph
from intake.model.volumes import volume_spans
from intake.runs.spans import intersection, shifted
from intake.units.language import say, spoken, term
from intake.units.local_forms import exact_figures, order_of

TITLE = term("The collection")
NO_ROOM, NO_SUBJECT = term("In no room yet"), term("Of no subject")
NO_PERSON, NO_SERIAL = term("Of no person"), term("Of no serial")
LAST = (NO_ROOM, NO_SUBJECT, NO_PERSON, NO_SERIAL)
NO_VALUES = term("Values are left out.")
NO_WHY = term("Why copies are kept is left out.")
PRIVATE = term("Your notes of why copies are kept are in it: look through them first, or make it without them.")
LEFT_OUT = term("Copies that were withdrawn are not in it; missing ones say so.")

Pair = tuple[Copy, Edition]
SerialsByEdition = Mapping[int, Sequence[tuple[SerialMap, SerialEdition]]]
"""What each edition has of which serials, by its key."""


def gather_collection(source: PaperSource, options: PaperOptions) -> CollectionCatalogue:
    """Gather every copy of the collection, grouped by room, subject, person or serial."""
    reader = source.reader
    pairs = sorted(all_copies(reader), key=_place)
    refuse_none(pairs)
    parts = collected_parts(reader)
    collected = _by_edition(serial_maps(reader, parts))
    paths = place_paths(reader, [copy.place for copy, _ in pairs if copy.place])
    heading = _HEADINGS[options.catalogue_order]
    groups: dict[str, list[Pair]] = {}
    for copy, edition in pairs:
        groups.setdefault(heading(copy, edition, paths, collected), []).append((copy, edition))
    make = _EntryMaker(
        source, [copy for copy, _ in pairs], collected, values=options.show_values, why=not options.no_why
    )
    numbered: list[tuple[str, list[CatalogueEntry]]] = []
    editions: dict[int, Edition] = {}
    for name in sorted(groups, key=lambda name: (name in LAST, _order(name))):
        entries = []
        for copy, edition in groups[name]:
            number = len(editions) + 1
            editions[number] = edition
            entries.append(make.entry(number, copy, edition))
        numbered.append((say(name) if name in LAST else name, entries))
    return CollectionCatalogue(
        title=say(TITLE),
        on=source.on,
        groups=numbered,
        indexes=_indexes(editions, collected),
        left_out=" ".join((*_left_out(options), say(LEFT_OUT))),
        owner=", ".join(filter(None, (options.owner, options.address))),
        notices=unread_words(reader, parts),
    )


def _told(catalogue: CollectionCatalogue) -> tuple[str, ...]:
    """Return what is told to who makes the book, and not to its readers, before what is told to both."""
    has_notes = any(entry.why for _, entries in catalogue.groups for entry in entries)
    return (*((say(PRIVATE),) if has_notes else ()), *catalogue.notices)


def _left_out(options: PaperOptions) -> Iterable[str]:
    if not options.show_values:
        yield say(NO_VALUES)
    if options.no_why:
        yield say(NO_WHY)


def _order(text: str) -> tuple[object, ...]:
    """Return by what a title or a name is sorted: as it is folded in English, in another language as that sorts."""
    return order_of(fold(text) if spoken() is None else text)


def _place(pair: tuple[Copy, Edition]) -> tuple[object, ...]:
    """Return by what a copy is sorted: its title, its volume by the numbers that this names, its own number."""
    copy, edition = pair
    volumes = [span.first for span in volume_spans(edition.volume)]
    return _order(edition.title), volumes, _order(edition.volume), serial_of(copy.accession)


def lay_out_collection(catalogue: CollectionCatalogue, options: PaperOptions) -> PaperPages:
    """Set the book on pages."""
    pages = catalogues.lay_out(catalogue, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=catalogue.title, pages=pages, notices=_told(catalogue))


def collection_site(catalogue: CollectionCatalogue) -> tuple[Mapping[str, bytes], tuple[str, ...]]:
    """Set the book on web pages, and return them with what the person who makes them is told."""
    return collection_pages.web_pages(catalogue), _told(catalogue)


def _by_edition(maps: Iterable[SerialMap]) -> SerialsByEdition:
    found: dict[int, list[tuple[SerialMap, SerialEdition]]] = {}
    for serial in maps:
        for one in serial.editions:
            found.setdefault(one.edition.id, []).append((serial, one))
    return found


def _millimetres(side: float) -> str:
    return f"{side:g}" if spoken() is None else exact_figures(Decimal(f"{side:g}"))


class _EntryMaker:
    """Writes entries from what was read for all copies at once."""

    def __init__(
        self, source: PaperSource, copies: Sequence[Copy], collected: SerialsByEdition, *, values: bool, why: bool
    ) -> None:
        reader = source.reader
        self._where = where_each_is(reader, copies)
        self._printings = reader.get_many(Printing, {copy.printing_id for copy in copies if copy.printing_id})
        self._covers = _covers(source, reader, copies)
        self._collected = collected
        self._why = why
        self._values = latest_valuations(reader) if values else {}

    def entry(self, number: int, copy: Copy, edition: Edition) -> CatalogueEntry:
        printing = self._printings.get(copy.printing_id or 0)
        sides = [_millimetres(side) for side in (edition.height_mm, edition.width_mm) if side is not None]
        size = "\u00a0×\u00a0".join(sides) + "\u00a0mm" if sides else ""  # a browser, too, parts no side from its unit
        pages = say("{count} pages", count=edition.pages) if edition.pages else ""
        imprint = ", ".join(filter(None, (edition.publisher, str(edition.year or ""))))
        recorded = ". ".join(filter(None, ("; ".join(edition.contributors), edition.statement, imprint)))
        extent = ". ".join(filter(None, (pages, size)))
        extent = from_left(extent, beside=recorded)
        return CatalogueEntry(
            number=number,
            copy=copy.accession,
            title=title_words(edition),
            description=". ".join(filter(None, (recorded, extent))),
            facts=(
                (say("Copy"), copy.accession),
                (say("Number"), written_number(edition)),
                (say("Printing"), printing_words(printing)),
                (say("Binding"), ", ".join(filter(None, (edition.binding, binding_words(copy))))),
                (say("Signed, numbered"), signed_words(copy)),
                (say("Where"), self._where_is(copy)),
                (say("Never to go"), say("yes") if copy.kept else ""),
                (say("Value"), recorded_words(value) if (value := self._values.get(copy.accession)) else ""),
            ),
            strips=tuple(self._strips(edition)),
            why=(copy.why or edition.why) if self._why else "",
            cover=self._covers.get(copy.accession),
        )

    def _where_is(self, copy: Copy) -> str:
        """Write where a copy is; of a missing one only that, for its box is where it is not."""
        if copy.state is CopyState.MISSING:
            return say(copy.state.value)
        return self._where.get(copy.accession) or say(copy.state.value)

    def _strips(self, edition: Edition) -> Iterable[RulerStrip]:
        for found, one in self._collected.get(edition.id, ()):
            for line in found.order.lines():
                if spans := intersection(one.places, (line,)):
                    words = say("Collects {parts} of {serial}", parts=stated_text(found, one, line), serial=found.title)
                    yield RulerStrip(words=words, size=line[1] - line[0] + 1, spans=shifted(spans, -line[0]))


def _covers(source: PaperSource, reader: LibraryReader, copies: Sequence[Copy]) -> dict[str, Photograph]:
    """Return the first picture of each copy that has any."""
    taken = pictures_of_copies(reader, [copy.accession for copy in copies])
    first = [pictures[0] for pictures in taken.values() if pictures]
    return {one.copy: one for one in photographs_of(source, first, {})}


def _room(copy: Copy, _edition: Edition, paths: Mapping[str, PlacePath], _collected: SerialsByEdition) -> str:
    path = paths.get(copy.place or "")
    return path.room if path is not None and path.names else NO_ROOM


def _subject(_copy: Copy, edition: Edition, _paths: Mapping[str, PlacePath], _collected: SerialsByEdition) -> str:
    return edition.subject or NO_SUBJECT


def _person(_copy: Copy, edition: Edition, _paths: Mapping[str, PlacePath], _collected: SerialsByEdition) -> str:
    return next(iter(edition.contributors), NO_PERSON)


def _serial(_copy: Copy, edition: Edition, _paths: Mapping[str, PlacePath], collected: SerialsByEdition) -> str:
    return next((serial.title for serial, _ in collected.get(edition.id, ())), NO_SERIAL)


_HEADINGS: Mapping[CatalogueOrder, Callable[[Copy, Edition, Mapping[str, PlacePath], SerialsByEdition], str]] = {
    CatalogueOrder.ROOM: _room,
    CatalogueOrder.SUBJECT: _subject,
    CatalogueOrder.PERSON: _person,
    CatalogueOrder.SERIAL: _serial,
}


def _indexes(
    editions: Mapping[int, Edition], collected: SerialsByEdition
) -> tuple[tuple[str, tuple[tuple[str, tuple[int, ...]], ...]], ...]:
    """Return the indexes of names, titles and serials, each word with the numbers of its entries."""
    names: dict[str, list[int]] = {}
    titles: dict[str, list[int]] = {}
    serials: dict[str, list[int]] = {}
    for number, edition in editions.items():
        titles.setdefault(title_words(edition), []).append(number)
        for name in edition.contributors:
            names.setdefault(name, []).append(number)
        for serial, _ in collected.get(edition.id, ()):
            serials.setdefault(serial.title, []).append(number)
    return tuple(
        (heading, tuple((word, tuple(words[word])) for word in sorted(words, key=_order)))
        for heading, words in ((say("Names"), names), (say("Titles"), titles), (say("Serials"), serials))
    )
