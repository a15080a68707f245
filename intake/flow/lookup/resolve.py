"""What a person means by what they type: a copy, a box, a place, an edition.

Own numbers are checked by their check digits; digits alone ("box 156") are the serial, and are taken where only one
kind of thing can be meant.
"""

from collections.abc import Callable
from typing import TypeVar

from intake.edges.store.queries.copies import copies_ever_of_editions
from intake.edges.store.queries.editions import edition_by_key, editions_by_number, editions_titled, known_numbers
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.identifiers import own
from intake.identifiers.parse import ROUNDED, parse
from intake.identifiers.repairs import twins
from intake.identifiers.running_text import may_hold_number
from intake.model.boxes import Box
from intake.model.editions import Copy, CopyState, Edition
from intake.model.folding import word_forms
from intake.model.identifiers import Check, Identifier, NumberKind, OwnKind, Rejection
from intake.model.places import Place, PlaceKind
from intake.units.advice import advice
from intake.units.counts import counted

Answer = TypeVar("Answer")
MOST_NAMED = 5
"""Shelves of one name that a refusal lists."""


class _Questions:
    """Which numbers the library knows, as far as that was looked up, and which were asked for beyond that."""

    def __init__(self) -> None:
        self.answers: dict[str, bool] = {}
        self.open: set[str] = set()

    def is_known(self, number: str) -> bool:
        if number not in self.answers:
            self.open.add(number)
        return self.answers.get(number, False)

    def look_up(self, reader: LibraryReader) -> bool:
        """Answer the open questions in one statement; return whether any number is known."""
        known = known_numbers(reader, self.open)
        self.answers |= {number: number in known for number in self.open}
        self.open.clear()
        return bool(known)


def with_known_numbers(reader: LibraryReader, ask: Callable[[Callable[[str], bool]], Answer]) -> Answer:
    """Return what `ask` answers once it knows of every number whether it is in the library.

    A text that may be several numbers, or is wrong by one digit, raises the question of up to a few hundred numbers.
    They are looked up together: `ask` is called again with the answers, until it asks for no others.
    """
    questions = _Questions()
    answer = ask(questions.is_known)
    while questions.open and questions.look_up(reader):
        answer = ask(questions.is_known)
    return answer


def parse_known(reader: LibraryReader, text: str) -> Identifier | Rejection:
    """Read a typed text or scanner line, settling by what the library knows where it may be several numbers."""
    return with_known_numbers(reader, lambda is_known: parse(text, is_known=is_known))


def parse_sought(reader: LibraryReader, text: str) -> Identifier | Rejection:
    """Read a text that a person searches by, as `parse_known` does.

    Besides, a letter with a serial ("A55") is the number of a copy, a box or a place, unless an edition has it as key.
    """
    short = own.short_number(text)
    if short is not None and edition_by_key(reader, text) is None:
        return own.own_identifier(short)
    return parse_known(reader, text)


def own_number(text: str, kind: OwnKind) -> str:
    """Return the canonical own number that the text means, whether or not anything carries it.

    Raises:
        RefusedError: the text is not a number of this kind, or its check digits are wrong.
    """
    return _number_in(own.read(text, expect=kind), kind)


def _number_in(read: Identifier | Rejection, kind: OwnKind) -> str:
    if isinstance(read, Rejection):
        name = _NAMES[kind]
        thing = f"{name.capitalize()} {read.text!r}"
        if read.check is Check.CHARACTERS:  # its reason names all three kinds of number, of which one is asked for
            raise RefusedError(
                thing, f"is not a {name} number", "read it again, one number at a time", field=_FIELDS[kind]
            )
        raise RefusedError(thing, f"is not a {name} number: {read.reason}", "read it again", field=_FIELDS[kind])
    return read.number


def find_box(records: LibraryReader, text: str) -> Box:
    """Return the box.

    Raises:
        RefusedError: the box does not exist.
    """
    number = own_number(text, OwnKind.BOX)
    box = records.get(Box, number)
    if box is None:
        remedy = "look at the list of boxes for its number"
        raise RefusedError(f"Box {number}", "is not in this library", remedy, field="box")
    return box


def find_copy(records: LibraryReader, text: str) -> Copy:
    """Return the copy that its own number names; or the one copy of an edition, named by its key or its number.

    Where an edition has several, one that was not withdrawn is meant rather than one that was.

    Raises:
        RefusedError: the copy does not exist, or the edition has no copy or several.
    """
    number = copy_number(records, text)
    copy = records.get(Copy, number)
    if copy is None:
        raise RefusedError(f"Copy {number}", "is not in this library", "search for it by its title", field="copy")
    return copy


def copy_number(records: LibraryReader, text: str) -> str:
    """Return the own number of the copy that a text means, whether or not the library still has it.

    Raises:
        RefusedError: the text means no copy; see `find_copy`.
    """
    read = own.read(text, expect=OwnKind.COPY)
    is_copy = isinstance(read, Identifier) and records.get(Copy, read.number) is not None
    if not is_copy and (edition := _edition_named(records, text)) is not None:
        return _only_copy(records, edition, text).accession
    return _number_in(read, OwnKind.COPY)


def _edition_named(records: LibraryReader, text: str) -> Edition | None:
    """Return the edition that a key, or a number that only one carries, names; None where nothing is named so."""
    if (by_key := edition_by_key(records, text)) is not None:
        return by_key
    parsed = parse_known(records, text)
    if isinstance(parsed, Rejection) or is_own(parsed):
        return None
    editions = editions_by_number(records, parsed.number, parsed.add_on)
    return editions[0] if len(editions) == 1 else None


def _only_copy(records: LibraryReader, edition: Edition, text: str) -> Copy:
    ever = copies_ever_of_editions(records, [edition.id])
    copies = [copy for copy in ever if copy.state is not CopyState.WITHDRAWN] or ever
    if len(copies) != 1:
        numbers = ", ".join(copy.accession for copy in copies)
        which = f"with {counted(len(copies), 'copy', 'copies')} ({numbers})" if copies else "without a copy"
        remedy = "name the copy by its own number" if copies else "add a copy of it first"
        raise RefusedError(f"{text!r}", f"is an edition {which}", remedy, field="copy")
    return copies[0]


def refuse_withdrawn(copy: Copy) -> None:
    """Refuse a copy that left the collection.

    Raises:
        RefusedError: it is withdrawn.
    """
    if copy.state is CopyState.WITHDRAWN:
        remedy = advice(
            "if it is here again, bring it back first with 'intake copy edit COPY --clear withdrawn'",
            "if it is here again, bring it back first",
        )
        raise RefusedError(
            f"Copy {copy.accession}", "is recorded as withdrawn from the collection", remedy, field="copy"
        )


def find_shelf(records: LibraryReader, text: str) -> Place:
    """Return the shelf that its number names, or its name as the desk shows it ("Alcove 2"), with or without its room.

    Raises:
        RefusedError: the place does not exist, it is a room or a bookcase, or several shelves have the name.
    """
    number = _shelf_named(records, text) or own_number(text, OwnKind.PLACE)
    place = records.get(Place, number)
    if place is None:
        remedy = "look at the list of shelves for its number"
        raise RefusedError(f"Place {number}", "is not in this library", remedy, field="shelf")
    if place.kind is not PlaceKind.SHELF:
        remedy = "name one of the shelves in it"
        raise RefusedError(f"Place {number}", f"is a {place.kind}, not a shelf", remedy, field="shelf")
    return place


def _shelf_named(records: LibraryReader, text: str) -> str:
    """Return the number of the one shelf that has a name; empty where the text is a number, or no shelf's name."""
    if not isinstance(own.read(text, expect=OwnKind.PLACE), Rejection):
        return ""
    said = _folded(text)
    paths = {number: _folded(" ".join(path.names)) for number, path in place_paths(records).items()}
    named = [number for number, words in paths.items() if said and words[-len(said) :] == said]
    shelves = [place.number for place in records.get_many(Place, named).values() if place.kind is PlaceKind.SHELF]
    if len(shelves) > 1:
        listed = ", ".join(shelves[:MOST_NAMED]) + (" …" if len(shelves) > MOST_NAMED else "")
        remedy = f"say which by its number: {listed}"
        raise RefusedError(f"The name {text.strip()!r}", f"is that of {len(shelves)} shelves", remedy, field="shelf")
    return shelves[0] if shelves else ""


def _folded(text: str) -> tuple[str, ...]:
    return tuple(forms[0] for forms in word_forms(text))


def find_edition(records: LibraryReader, text: str) -> Edition:
    """Return the edition that a key of the person's own list, or a number with or without its supplement, names.

    A text that is neither is a title, to the letter.

    Raises:
        RefusedError: no edition, or more than one, carries it.
    """
    by_key = edition_by_key(records, text)
    if by_key is not None:
        return by_key
    parsed = parse_known(records, text)
    if isinstance(parsed, Rejection):
        titled = editions_titled(records, [text])
        if len(titled) > 1:
            raise RefusedError(
                f"Edition {text!r}", f"means {len(titled)} editions", "name one by its key or number", field="edition"
            )
        if titled:
            return titled[0]
        if not (may_hold_number(text) or ROUNDED.fullmatch(text) or own.short_number(text)):
            raise RefusedError(
                f"Edition {text!r}", "is not in the catalog", "name it by its key, or import it first", field="edition"
            )
        why = f"is neither a key nor a title of the catalog, and no number: {parsed.reason}"
        raise RefusedError(f"Edition {text!r}", why, "correct it", field="edition")
    editions = editions_by_number(records, parsed.number, parsed.add_on)
    if not editions:
        raise _not_in_catalog(records, parsed)
    if len(editions) > 1:
        keys = ", ".join(edition.key or edition.title for edition in editions)
        raise RefusedError(
            f"Edition {parsed.written}",
            f"means {len(editions)} editions ({keys})",
            "name it by its key",
            field="edition",
        )
    return editions[0]


def _not_in_catalog(records: LibraryReader, number: Identifier) -> RefusedError:
    """Return the error for a number that no edition carries, with the one that two neighbours swapped make of it."""
    other = {twin.number: twin.written for twin in twins(number.number)}
    held = sorted(known_numbers(records, other)) if other else []
    if held:
        why = f"is not in the catalog, but {other[held[0]]}, two neighbours swapped, is"
        return RefusedError(f"Edition {number.written}", why, "compare the digits", field="edition")
    return RefusedError(f"Edition {number.written}", "is not in the catalog", "import it first", field="edition")


def is_own(identifier: Identifier) -> bool:
    """Return whether a number is one of this tool's own: a copy's, a box's or a place's."""
    return identifier.kind is NumberKind.OWN


_NAMES = {OwnKind.COPY: "copy", OwnKind.BOX: "box", OwnKind.PLACE: "place"}
_FIELDS = _NAMES | {OwnKind.PLACE: "shelf"}
