"""The whole library arranged anew by the person's rule: how it would look, what has to move, and the booking of it.

Each subject has its shelves; copies whose subject has none go to the shelves of no subject. Where the rule names the
size, folios, quartos and octavos are sequences of their own: the largest choose their shelves first, and each is
divided at the least cost over those that are left. Copies still in boxes get their place kept if there is room.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.edges.store.library import Library
from intake.edges.store.parts import PlanChecks, apply_staged
from intake.edges.store.queries.shelves import copies_standing_nowhere
from intake.edges.store.reader import LibraryReader
from intake.edges.store.staging import StagedPlan
from intake.errors import RefusedError
from intake.flow.lookup.handling_words import heavy_words
from intake.flow.shelves.find_room import refuse_if_joined
from intake.flow.shelves.near_shelves import folded
from intake.flow.shelves.shelf_layout import plan_layout
from intake.flow.shelves.shelf_state import Filing, Pair, Shelf, as_book, read_shelves
from intake.model.changes import Action, ActionKind
from intake.model.editions import BookSet, CopyState, Edition
from intake.model.shelving import Book, Key, Space
from intake.shelving.arrange import Shortage, arrange
from intake.shelving.instructions import step_sentence
from intake.shelving.moves import Moves, plan_moves
from intake.shelving.order import size_class
from intake.shelving.sizes import thickness_mm
from intake.units.convert import mm_to_m
from intake.units.counts import counted

SERIAL_PREFIX = "977"
ISSUES_TO_COME = 4
"""Issues of a running serial for which room is left: a year of a quarterly; common practice, no source."""

Layout = dict[str, list[Book]]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A new arrangement, before anything is changed.

    Attributes:
        layout: the copies that will stand on each shelf, from the left, by the shelf's number.
        sentences: what to do with the hands, in order.
        handled: copies that stand today and have to move.
        brought: copies that stand nowhere yet.
        put_down: how many of them lie somewhere for a while in between.
        short: why it cannot be done, one sentence each; the layout is then empty.
        remarks: what else is worth knowing.
    """

    layout: tuple[tuple[str, tuple[str, ...]], ...] = ()
    sentences: tuple[str, ...] = ()
    handled: int = 0
    brought: int = 0
    put_down: int = 0
    short: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


def propose(reader: LibraryReader) -> Proposal:
    """Arrange all copies anew, and compare with where they stand."""
    shelves = read_shelves(reader)
    usable = [shelf for shelf in shelves if shelf.space is not None]
    remarks = [f"Shelf {shelf.name} has no width and was left as it is." for shelf in shelves if shelf.space is None]
    filing = Filing(reader)
    standing = (pair for shelf in usable for pair in shelf.standing)
    copies = filing.in_order((*standing, *copies_standing_nowhere(reader)))
    layout, short = _lay_out(usable, copies, filing, _growth(reader, copies))
    packed = {copy.accession for copy, _ in copies if copy.state is CopyState.PACKED}
    if short and packed:
        at_hand = [pair for pair in copies if pair[0].accession not in packed]
        layout, without = _lay_out(usable, at_hand, filing, {})
        if not without:
            remarks += [f"No place is kept for what is in boxes or to come: {sentence}" for sentence in short]
        short = without
    if short:
        return Proposal(short=tuple(short), remarks=tuple(remarks))
    without_packed = {number: [book for book in books if book.copy not in packed] for number, books in layout.items()}
    return _compared(usable, without_packed, remarks)


def adopt(library: Library, *, station: str) -> tuple[Proposal, tuple[int, ...]]:
    """Book that the books stand as `propose` says, in parts where it is much.

    Returns:
        What was booked, and its entries of the ledger; none where all stands so already.

    Raises:
        RefusedError: they do not fit, or another station has put a copy on one of the shelves meanwhile.
    """
    with library.reading() as reader:
        proposal = propose(reader)
        if proposal.short:
            raise RefusedError("The arrangement", f"cannot be made: {proposal.short[0].rstrip('.')}", "make room first")
        layout = plan_layout(reader, proposal.layout)
    changes = [change for change in layout if change.before != change.after]
    if not changes:
        return proposal, ()
    action = Action(ActionKind.ARRANGE_SHELVES, counted(len(changes), "copy", "copies"), station)

    def check(reader: LibraryReader) -> None:
        refuse_if_joined(reader, layout)

    with StagedPlan() as staged:
        staged.add(changes)
        return proposal, apply_staged(library, action, staged, PlanChecks(first=check, last=check)).entries


def _compared(usable: Sequence[Shelf], layout: Mapping[str, Sequence[Book]], remarks: Sequence[str]) -> Proposal:
    today = {shelf.place.number: shelf.books for shelf in usable}
    spaces = {shelf.place.number: shelf.space for shelf in usable if shelf.space is not None}
    moves: Moves = plan_moves(today, layout, spaces)
    stood = {book.copy for books in today.values() for book in books}
    names = {shelf.place.number: shelf.name for shelf in usable}
    return Proposal(
        layout=tuple((number, tuple(book.copy for book in books)) for number, books in layout.items()),
        sentences=tuple(step_sentence(step, names) for step in moves.steps),
        handled=sum(book.copy in stood for book in moves.handled),
        brought=sum(book.copy not in stood for book in moves.handled),
        put_down=len(moves.put_down),
        remarks=(*remarks, *heavy_words(moves.handled)),
    )


def _lay_out(
    shelves: Sequence[Shelf], copies: Sequence[Pair], filing: Filing, growth: Mapping[str, float]
) -> tuple[Layout, list[str]]:
    """Divide the copies, which are in order, over the shelves of their subjects.

    Returns:
        The books on each shelf, and a sentence for each shortage.
    """
    zones: dict[str, list[Shelf]] = defaultdict(list)
    for shelf in shelves:
        zones[folded(shelf.place.subject)].append(shelf)
    groups: dict[str, list[Pair]] = defaultdict(list)
    for pair in copies:
        subject = folded(filing.subject(pair[1]))
        groups[subject if subject in zones else ""].append(pair)
    layout: Layout = {shelf.place.number: [] for shelf in shelves}
    homes = {copy.accession: copy.place for copy, _ in copies if copy.place is not None}
    short: list[str] = []
    for subject, pairs in groups.items():
        called = zones[subject][0].place.subject if zones[subject] else ""
        spaces = [shelf.space for shelf in zones[subject] if shelf.space is not None]
        for sequence in _sequences(pairs, filing):
            books = [as_book(copy, edition, growth.get(copy.accession, 0.0)) for copy, edition in sequence]
            short += _divide(books, spaces, (layout, homes), called)
            spaces = [space for space in spaces if not layout[space.shelf]]
    return layout, short


def _sequences(pairs: Sequence[Pair], filing: Filing) -> list[list[Pair]]:
    """Return folios, quartos and octavos apart where the rule names the size."""
    if Key.SIZE not in filing.rule.keys:
        return [list(pairs)]
    classes: dict[int, list[Pair]] = defaultdict(list)
    for pair in pairs:
        classes[size_class(pair[1].height_mm)].append(pair)
    return [classes[size] for size in sorted(classes, reverse=True)]


def _divide(
    books: Sequence[Book], spaces: Sequence[Space], stand: tuple[Layout, Mapping[str, str]], subject: str
) -> list[str]:
    """Put one sequence on the shelves that are left, into the layout; say what is short."""
    layout, homes = stand
    name = f"Shelves of {subject!r}" if subject else "Shelves for any subject"
    if not spaces and books:
        metres = mm_to_m(sum(book.thickness_mm for book in books))
        first = books[0]
        left = f"{counted(len(books), 'copy', 'copies')}, {metres:.2f} m"
        return [f"{name}: none is left for {left}, from {first.copy} '{first.name}' on."]
    division = arrange(books, spaces, homes=homes)
    if not isinstance(division, Shortage):
        for space, (begin, end) in zip(spaces, division.runs(), strict=True):
            layout[space.shelf] += books[begin:end]
        return []
    misfits = {book.copy for book in division.misfits}
    short = [
        f"{name}: {book.copy} '{book.name}' is too large for each "
        f"({book.height_mm:.0f} mm high, {book.depth_mm:.0f} mm deep, {book.thickness_mm:.0f} mm thick)."
        for book in division.misfits
    ]
    others = [book for book in books if book.copy not in misfits]
    if division.placed < len(others):
        first = others[division.placed]
        short.append(f"{name}: {mm_to_m(division.short_mm):.2f} m are short, from {first.copy} '{first.name}' on.")
    return short


def _growth(reader: LibraryReader, copies: Sequence[Pair]) -> dict[str, float]:
    """Return the room to be left behind the last of each open set and serial, by copy, in mm.

    The copies are in order.
    """
    sets = {book_set.id: book_set for book_set in reader.all(BookSet)}
    last: dict[object, Pair] = {}
    editions: dict[object, dict[int, Edition]] = defaultdict(dict)
    for pair in copies:
        edition = pair[1]
        serial = edition.number if (edition.number or "").startswith(SERIAL_PREFIX) else None
        group = edition.set_id if edition.set_id is not None else serial
        if group is not None:
            last[group] = pair
            editions[group][edition.id] = edition
    growth: dict[str, float] = {}
    for key, (copy, edition) in last.items():
        known = editions[key]
        volumes = None if edition.set_id is None else sets[edition.set_id].volumes or 0
        to_come = ISSUES_TO_COME if volumes is None else max(0, volumes - len(known))
        mean = sum(thickness_mm(other) for other in known.values()) / len(known)
        if to_come:
            growth[copy.accession] = to_come * mean
    return growth
