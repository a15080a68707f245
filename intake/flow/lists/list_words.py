"""The sentences about several rows of a list: lines that are alike or the same, what the list no longer has."""

import shlex
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from intake.flow.lists.lot_plan import MergedName, UnlistedCopy, UnlistedEdition
from intake.model.valuations import Basis
from intake.units.advice import advice
from intake.units.counts import counted, noun


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


def undated_sentence(undated: Mapping[Basis, int], today: date) -> str:
    """Write how many values are dated today because the list does not date them.

    >>> undated_sentence({Basis.PURCHASE: 2, Basis.MARKET: 1}, date(2026, 3, 31))
    '3 values that the list does not date are dated today, 2026-03-31 (purchase 2, market 1)'
    """
    bases = ", ".join(f"{basis} {count}" for basis, count in undated.items())
    count = sum(undated.values())
    values = f"{counted(count, 'value')} that the list does not date {noun(count, 'is', 'are')}"
    return f"{values} dated today, {today.isoformat()} ({bases})"


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
