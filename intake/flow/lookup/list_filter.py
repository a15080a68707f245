"""What a person types above a list: a number of the tool's own or of a book, a key, or words with a slip in them.

One reading serves every list; each list decides what of it names one of its rows.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from intake.edges.store.queries.copies import copies_ever_of_editions
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.found_editions import look_up_parsed
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.resolve import parse_sought
from intake.identifiers import own
from intake.model.editions import Copy, Edition
from intake.model.folding import as_typed, search_words, word_forms
from intake.model.identifiers import Identifier, NumberKind, OwnKind
from intake.model.slips import could_be, is_slip

MOST_EDITIONS = 200
"""Editions that words are taken to mean; among more, they do not show which is meant."""


@dataclass(frozen=True, slots=True)
class ListFilter:
    """What was typed.

    Attributes:
        own: the own number that it is; empty where it is none.
        words: the words, each in its forms; none where it is an own number.
        editions: what it finds in the catalog, the closest first.
        copies: the copy that it numbers, or those of the editions.
        more: whether it means more editions than these.
        note: what was taken for what, in words.
    """

    text: str = ""
    own: str = ""
    words: tuple[tuple[str, ...], ...] = ()
    editions: tuple[Edition, ...] = ()
    copies: tuple[Copy, ...] = ()
    more: bool = False
    note: str = ""
    _boxes: frozenset[str] = field(default=frozenset())

    @property
    def is_empty(self) -> bool:
        """Return whether nothing was typed that could name anything."""
        return not self.text

    @property
    def boxes(self) -> frozenset[str]:
        """Return the boxes that it numbers, or whose lists name one of the copies."""
        return self._boxes | {copy.box for copy in self.copies if copy.box}

    @property
    def places(self) -> frozenset[str]:
        """Return the places that it numbers, or where one of the copies stands."""
        own_place = {self.own} if self.own.startswith(OwnKind.PLACE.value) else set()
        return frozenset(own_place | {copy.place for copy in self.copies if copy.place})

    def names(self, texts: Iterable[str]) -> bool:
        """Tell whether each typed word, or one that a single slip makes of it, begins a word of these texts."""
        if not self.words:
            return False
        there = search_words(texts).split()
        return all(any(_fits(form, word) for form in as_typed(forms) for word in there) for forms in self.words)


def read_filter(reader: LibraryReader, text: str, *, listed: OwnKind | None = None) -> ListFilter:
    """Read what was typed above a list, in a few statements however large the library is.

    Args:
        reader: of the library.
        text: as typed.
        listed: what the list is of: a bare number is then the number of one.
    """
    text = text.strip()
    if not text:
        return ListFilter()
    parsed = parse_sought(reader, text)
    if isinstance(parsed, Identifier):
        number = parsed if parsed.kind is NumberKind.OWN else None
    else:
        number = _own_words(text, listed)
    if number is not None:
        copy = reader.get(Copy, number.number) if number.own_kind is OwnKind.COPY else None
        boxes = frozenset({number.number} if number.own_kind is OwnKind.BOX else ())
        return ListFilter(text, own=number.number, copies=(copy,) if copy else (), _boxes=boxes)
    found = look_up_parsed(reader, text, parsed, MOST_EDITIONS)
    copies = copies_ever_of_editions(reader, [edition.id for edition in found.editions])
    return ListFilter(text, "", word_forms(text), found.editions, copies, found.more, reasons_words(found.why))


def _own_words(text: str, listed: OwnKind | None) -> Identifier | None:
    """Return the own number that a word and a number mean ("box 5"); digits alone only where the list is of such."""
    for kind in (listed, *OwnKind):
        if kind is not None and (kind is listed or any(map(str.isalpha, text))):
            read = own.read(text, kind)
            if isinstance(read, Identifier):
                return read
    return None


def _fits(form: str, word: str) -> bool:
    """Tell whether a typed word begins another, or is one slip away from it."""
    return word.startswith(form) or (could_be(form) and is_slip(form, word))
