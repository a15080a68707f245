"""The sentences about several rows of a list: lines that are alike or the same, what the list no longer has."""

import shlex
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from intake.flow.lists.lot_plan import (
    LeftRoom,
    ListDoubts,
    MergedName,
    RowOutcome,
    UnlistedCopy,
    UnlistedEdition,
)
from intake.model.valuations import Basis
from intake.units.advice import advice
from intake.units.counts import counted, noun, some_of

MOST_LINES = 24
"""So many lines are named of those of which one thing is said."""


def repeated_sentence(first: int, others: Sequence[int], unit: str) -> str:
    """Write which lines are one edition.

    >>> repeated_sentence(2, [3, 5], "line")
    'lines 2, 3 and 5 are the same edition, made once; import the file as copies too for a copy of each'
    """
    lines = _listed((first, *others))
    return f"{unit}s {lines} are the same edition, made once; import the file as copies too for a copy of each"


def alike_sentence(first: int, others: Sequence[int], unit: str) -> str:
    """Write which lines may be copies of one edition.

    >>> alike_sentence(2, [3, 4], "line").partition(", so ")[0]
    'lines 2, 3 and 4 have one number and differ in their keys alone'
    """
    lines = _listed((first, *others))
    return (
        f"{unit}s {lines} have one number and differ in their keys alone, so each is taken for an edition of its own; "
        + advice(
            "if they are copies of one, give --map key= to leave the keys out",
            "if they are copies of one, say below that the column of the keys is not used",
        )
    )


def merged_sentences(merged: Iterable[MergedName], unit: str) -> list[str]:
    """Write which rows name editions that were merged into others, for each of the names.

    >>> merged_sentences([MergedName(3, "G2", "G1"), MergedName(5, "G2", "G1")], "line")
    ["lines 3 and 5: 'G2' was merged into 'G1', which is meant"]
    >>> merged_sentences([MergedName(3, "G2", "G1", is_left=True)], "line")[0].partition("; ")[2]
    'what the row says otherwise of it is left out: correct the row of that edition'
    """
    left = "; what the row says otherwise of it is left out: correct the row of that edition"
    lines: dict[tuple[str, str, bool], list[int]] = {}
    for row in merged:
        lines.setdefault((row.name, row.into, row.is_left), []).append(row.line)
    return [
        f"{unit}{'s' if len(named) > 1 else ''} {_listed(named)}: {name!r} was merged into {into!r}, which is meant"
        + (left if is_left else "")
        for (name, into, is_left), named in lines.items()
    ]


def withdrawn_sentence(line: int, accession: str, unit: str) -> str:
    """Write that a row means a copy that was withdrawn.

    >>> withdrawn_sentence(5, "A3-41", "line")
    "line 5 is copy A3-41, which was withdrawn and stays so; 'intake copy edit A3-41 --clear withdrawn' brings it back"
    """
    cure = advice(
        f"'intake copy edit {accession} --clear withdrawn' brings it back", "its page says how to bring it back"
    )
    return f"{unit} {line} is copy {accession}, which was withdrawn and stays so; {cure}"


def left_room_sentences(rooms: Iterable[LeftRoom], unit: str) -> list[str]:
    """Write which rooms of rows are left out, for each box and room.

    >>> left_room_sentences([LeftRoom(2, "Attic"), LeftRoom(5, "Attic")], "line")
    ["the room 'Attic' on lines 2 and 5 is left out: a room is kept with a box, and no box is named there"]
    >>> left_room_sentences([LeftRoom(5, "Attic", "B3-45", "Hall", 4)], "line")
    ["box B3-45 goes to the room 'Hall' (line 4); 'Attic' on line 5 is left out, for a box goes to one: correct one"]
    >>> left_room_sentences([LeftRoom(5, "Attic", "B3-45", "Hall")], "line")[0].partition("; ")[0]
    "box B3-45 is recorded for the room 'Hall'"
    """
    lines: dict[tuple[str, str, str, int | None], list[int]] = {}
    for row in rooms:
        lines.setdefault((row.box, row.kept, row.room, row.given), []).append(row.line)
    return [
        _left_room(
            LeftRoom(named[0], room, box, kept, given), f"{unit}{'s' if len(named) > 1 else ''} {_few(named)}", unit
        )
        for (box, kept, room, given), named in lines.items()
    ]


def _left_room(left: LeftRoom, on: str, unit: str) -> str:
    if not left.box:
        return f"the room {left.room!r} on {on} is left out: a room is kept with a box, and no box is named there"
    if left.given is not None:
        kept = f"box {left.box} goes to the room {left.kept!r} ({unit} {left.given})"
        return f"{kept}; {left.room!r} on {on} is left out, for a box goes to one: correct one"
    return (
        f"box {left.box} is recorded for the room {left.kept!r}; {left.room!r} on {on} is left out: the room of a box "
        "is altered by a list of boxes"
    )


def doubt_sentences(doubts: ListDoubts, unit: str) -> list[str]:
    """Write what is taken as it stands, and what does not follow from it.

    >>> doubt_sentences(ListDoubts((3, 7), {"cardboard": [2]}), "line")[0]
    "lines 3 and 7 name a volume but no set: what a set lacks is told only of sets; a column 'set' names them"
    >>> doubt_sentences(ListDoubts((), {"cardboard": [2]}), "line")
    ["no table has the boards 'cardboard' (line 2): the sag of this shelf is not known"]
    """
    sentences = []
    if lines := doubts.without_set:
        names = f"{unit}{'s' if len(lines) > 1 else ''} {_few(lines)} {noun(len(lines), 'names', 'name')} a volume"
        sentences.append(f"{names} but no set: what a set lacks is told only of sets; a column 'set' names them")
    for material, lines in doubts.materials.items():
        on = f"{unit}{'s' if len(lines) > 1 else ''} {_few(lines)}"
        shelves = noun(len(lines), "this shelf", "these shelves")
        sentences.append(f"no table has the boards {material!r} ({on}): the sag of {shelves} is not known")
    return sentences


def undated_sentence(undated: Mapping[Basis, int], today: date) -> str:
    """Write how many values are dated today because the list does not date them.

    >>> undated_sentence({Basis.PURCHASE: 2, Basis.MARKET: 1}, date(2026, 3, 31))
    '3 values that the list does not date are dated today, 2026-03-31 (purchase 2, market 1)'
    """
    bases = ", ".join(f"{basis} {count}" for basis, count in undated.items())
    count = sum(undated.values())
    values = f"{counted(count, 'value')} that the list does not date {noun(count, 'is', 'are')}"
    return f"{values} dated today, {today.isoformat()} ({bases})"


def outdated_sentence(row: RowOutcome, unit: str) -> str:
    """Write that the value of a row does not count; empty where it does.

    >>> from decimal import Decimal
    >>> from intake.flow.lists.lot_plan import CellNotes, OutdatedValue
    >>> from intake.model.valuations import Valuation
    >>> later = dict(amount=Decimal(5400), currency="EUR", on=date(2025, 6, 30), basis=Basis.MARKET)
    >>> later = Valuation(id=1, copy="A1-59", **later)
    >>> outdated = OutdatedValue(Decimal(4500), "EUR", date(2024, 6, 30), later)
    >>> outdated_sentence(RowOutcome(2, "Ferns", (), CellNotes(outdated=outdated)), "line").partition("; ")[0]
    'line 2: EUR 4500 of 2024-06-30 does not count for A1-59, as EUR 5400 of 2025-06-30 (market) is later'
    """
    outdated = row.notes.outdated
    if outdated is None:
        return ""
    later = outdated.later
    return (
        f"{unit} {row.line}: {outdated.currency} {outdated.amount} of {outdated.on.isoformat()} does not count for "
        f"{later.copy}, as {later.currency} {later.amount} of {later.on.isoformat()} ({later.basis}) is later; "
        "give it a later day if it is to count"
    )


def _few(lines: Sequence[int]) -> str:
    """Return the first lines of many, and how many more there are."""
    return some_of([str(line) for line in lines], MOST_LINES) if len(lines) > MOST_LINES else _listed(lines)


def _listed(lines: Sequence[int]) -> str:
    *before, last = lines
    return f"{', '.join(map(str, before))} and {last}" if before else f"{last}"


def unlisted_sentence(unlisted: UnlistedCopy | UnlistedEdition, unit: str = "line", *, is_whole: bool = True) -> str:
    """Write that a list no longer has a copy or an edition that it had.

    Args:
        unlisted: what no row means.
        unit: what the file's rows are counted in.
        is_whole: whether all rows could be used; otherwise the list may still have it.

    >>> unlisted_sentence(UnlistedCopy("A5-12", "Ferns", None))
    "A5-12 'Ferns', in no box, came from an earlier import of this list, which no longer has it; it stays as it is"
    >>> unlisted_sentence(UnlistedEdition("", "Ferns"))
    "'Ferns' came from an earlier import of this list, which no longer has it; it stays as it is"
    >>> unlisted_sentence(UnlistedEdition("", "Old C", (5, "Cee"))).partition("? ")[2]
    "Before the import: intake edition edit 'Old C' --set title=Cee; after: intake edition merge 'Old C' --into Cee"
    """
    if is_whole:
        why = "came from an earlier import of this list, which no longer has it; it stays as it is"
    else:
        why = "came from an earlier import of this list, and no row that can be used means it; it stays as it is"
    if isinstance(unlisted, UnlistedEdition):
        named = f"{unlisted.name} {unlisted.title!r}".strip() + f" {why}"
        if unlisted.corrected is None:
            return named
        line, title = unlisted.corrected
        before = shlex.join(("intake", "edition", "edit", unlisted.title, "--set", f"title={title}"))
        after = shlex.join(("intake", "edition", "merge", unlisted.title, "--into", title))
        cure = advice(
            f"Before the import: {before}; after: {after}",
            "Before the import, correct its title in the catalog; after it, merge the two",
        )
        return f"{named}. Is {title!r} on {unit} {line} its correction? {cure}"
    where = f"box {unlisted.box}" if unlisted.box else "in no box"
    return f"{unlisted.accession} {unlisted.title!r}, {where}, {why}"
