"""The map of the serial that a person names, and what is said of statements and titles beside it."""

from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.statement_words import fault_words
from intake.flow.runs.serial_map import (
    CollectedParts,
    SerialMap,
    collected_parts,
    edition_name,
    find_serial,
    serial_maps,
    serial_title,
)
from intake.model.editions import Edition
from intake.runs.notation import serial_key
from intake.units.language import say


def named_map(reader: LibraryReader, text: str) -> tuple[SerialMap, tuple[str, ...]]:
    """Return the map of the serial that a person names, and what is left out of it or doubtful, one sentence each.

    Raises:
        RefusedError: no serial is named so, or several are.
    """
    collected = collected_parts(reader)
    key = find_serial(collected, text)
    (found,) = serial_maps(reader, collected, [key])
    return found, unread_words(reader, collected, key)


def unread_words(reader: LibraryReader, collected: CollectedParts, title: str = "") -> tuple[str, ...]:
    """Return a sentence for each statement that is not understood, and for each two titles that may be one serial's.

    With a title only where it is one of the two; what is not understood may be of any serial.
    """
    editions = reader.get_many(Edition, collected.faults)
    unread = (
        say(
            "What {edition} collects is left out: {why}.",
            edition=edition_name(editions[edition_id]),
            why=fault_words(fault),
        )
        for edition_id, fault in collected.faults.items()
        if edition_id in editions
    )
    return (*unread, *alike_titles(collected, title))


def alike_titles(collected: CollectedParts, title: str = "") -> tuple[str, ...]:
    """Return a sentence for each two serials whose titles may be one; with a title, only where it is one of them."""
    key = serial_key(title)
    return tuple(_alike_words(collected, *pair) for pair in collected.alike if not key or key in pair)


def _alike_words(collected: CollectedParts, one: str, other: str) -> str:
    """Write that two serials have titles that may be one, and which editions to correct if they are."""
    few = min((one, other), key=lambda key: len(collected.by_serial[key]))
    title, more = serial_title(collected, few), serial_title(collected, one if few == other else other)
    return say(
        "'{title}' and '{other}' are almost alike and are counted as two serials; if they are one, correct '{title}' "
        "in what its editions collect, or in its extent.",
        title=title,
        other=more,
    )
