"""The things of a library that a form offers for the options of a paper."""

from collections.abc import Iterable

from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.papers import list_bookcases
from intake.edges.store.reader import LibraryReader
from intake.flow.papers.options import Suggestion
from intake.flow.runs.serial_map import serial_titles
from intake.identifiers.own import serial_of
from intake.model.boxes import Consignment


def suggestions(reader: LibraryReader, asked: Iterable[Suggestion]) -> dict[Suggestion, tuple[str, ...]]:
    """Return what to offer for each kind of thing that is asked for; none for the kinds that are not of the library."""
    offered: dict[Suggestion, tuple[str, ...]] = {}
    for kind in dict.fromkeys(asked):
        if kind is Suggestion.BOXES:
            offered[kind] = tuple(sorted((box.number for box in list_boxes(reader)), key=serial_of))
        elif kind is Suggestion.CONSIGNMENTS:
            offered[kind] = tuple(consignment.reference for consignment in reader.all(Consignment))
        elif kind is Suggestion.BOOKCASES:
            offered[kind] = tuple(place.number for place in list_bookcases(reader))
        elif kind is Suggestion.SERIALS:
            offered[kind] = serial_titles(reader)
    return offered
