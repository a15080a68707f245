"""Holdings statements as libraries publish them (ANSI/NISO Z39.71, with the marks of ISO 10324), read and written.

A comma stands for a gap, a semicolon for a break where nothing was published, an open hyphen for a run still received.
The standard's punctuation was seen in a library's copy of its table.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from intake.runs.additions import without_additions
from intake.runs.captions import plain_marks
from intake.runs.notation import write_parts
from intake.runs.parts import Parts, RunKey, between, union_of
from intake.runs.runs_reader import NotUnderstoodError, RunsReader
from intake.runs.spans import END
from intake.runs.statements import StatementFault, StatementProblem, StatementRemark, StatementRemarkKind
from intake.runs.written_pieces import WrittenPiece, write_pieces

_PIECE = re.compile(r"[^,;]*")


@dataclass(frozen=True, slots=True)
class PublishedHoldings:
    """What a published statement says of one serial.

    Attributes:
        held: the parts held; an open end is still received.
        missing: whole numbers stated not to be held, between two pieces of one run that follow each other.
        unpublished: numbers stated never to have been published.
    """

    held: Parts
    missing: Parts
    unpublished: Parts
    remarks: tuple[StatementRemark, ...] = ()


def read_published(text: str) -> PublishedHoldings | StatementFault:
    """Read a published statement without a title.

    Dates beside numbers, notes and alternative numbers are left out, and a remark says so.

    >>> read_published("v.1-3,5-8").missing.spans
    {('v',): ((4, 4),)}
    """
    plain = plain_marks(text)
    plain, remarks = without_additions(plain, 0, len(plain))
    if not plain.strip():
        return StatementFault(text, StatementProblem.EMPTY, 0)
    held: list[Parts] = []
    gaps: dict[str, list[Parts]] = {",": [], ";": []}
    key: RunKey = ()
    separator, at = "", 0
    try:
        while at <= len(plain):
            match = _PIECE.match(plain, at)
            end = match.end() if match else at
            reader = RunsReader(plain, at, end, key=key)
            piece = reader.read_range()
            reader.expect_end()
            if separator:
                gaps[separator].append(between(held[-1], piece))
            key, at, separator = reader.key, end + 1, plain[end : end + 1]
            held.append(piece)
            remarks += reader.remarks
    except NotUnderstoodError as error:
        return error.fault(text)
    every = union_of(held)
    missing, unpublished = union_of(gaps[","]) - every, union_of(gaps[";"]) - every
    if unpublished:
        remarks.append(StatementRemark(StatementRemarkKind.NOT_PUBLISHED, write_parts(unpublished), unpublished))
    return PublishedHoldings(every, missing, unpublished, tuple(remarks))


def write_published(parts: Parts, known: Parts) -> str:
    """Write parts of one serial as a published statement.

    Args:
        parts: what is held, whole volumes as their numbers (`parts.expanded`); an open end: still received.
        known: what the serial has; it decides whether a break is a gap (comma) or none (semicolon).

    >>> write_published(Parts({("v",): ((1, 3), (5, 8))}), Parts({("v",): ((1, 8),)}))
    'v.1-3,5-8'
    """
    missing = known - parts
    written = ""
    before: WrittenPiece | None = None
    for piece in write_pieces(parts, main="no."):
        is_gap = before is not None and _lies_between(missing, (before.key, before.last), (piece.key, piece.first))
        written += "" if before is None else "," if is_gap else ";"
        # As in the standard's examples "v.1-4;v.6" and "v.1-3,5-8"; only the serial's own numbers need no caption.
        is_named = before is None or piece.key != before.key or (piece.key and not is_gap)
        written += piece.caption + piece.text if is_named else piece.text
        before = piece
    return written


def _lies_between(missing: Parts, before: tuple[RunKey, Fraction], after: tuple[RunKey, Fraction]) -> bool:
    """Tell whether a missing part lies after one part and before another, in either of their runs."""
    for key in {before[0], after[0]}:
        low = before[1] if key == before[0] else Fraction(-1)
        high = after[1] if key == after[0] else Fraction(END)
        if any(first <= ceil(high) - 1 and last >= floor(low) + 1 for first, last in missing.spans.get(key, ())):
            return True
        if any(low < one < high for one in missing.inserted.get(key, ())):
            return True
    return False
