"""Holdings statements as libraries publish them (ANSI/NISO Z39.71, with the marks of ISO 10324), read and written.

A comma stands for a gap, a semicolon for a break where nothing was published, an open hyphen for a run still received.
The standard's punctuation was seen in a library's copy of its table.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from intake.runs.captions import plain_marks
from intake.runs.notation import write_pieces
from intake.runs.parts import Parts, RunKey, union_of
from intake.runs.runs_reader import NotUnderstoodError, RunsReader
from intake.runs.spans import END, Spans
from intake.runs.statements import StatementFault, StatementProblem, StatementRemark, StatementRemarkKind

_PIECE = re.compile(r"[^,;]*")
_LEFT_OUT = (
    (re.compile(r"<[^>]*>"), StatementRemarkKind.NOTE_LEFT_OUT),
    (re.compile(r"\([^)]*\)"), StatementRemarkKind.DATE_LEFT_OUT),
    (re.compile(r"=[^,;\s-]*"), StatementRemarkKind.OTHER_NUMBER_LEFT_OUT),
)
_UNKNOWN_END = re.compile(r"(?<=-)(\d{2,3})(\?{1,2})(?=\s*(?:[,;]|$))")


@dataclass(frozen=True, slots=True)
class PublishedHoldings:
    """What a published statement says of one serial.

    Attributes:
        held: the parts held; an open end is still received.
        missing: parts stated to be published and not held.
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
    plain, remarks = _without_additions(plain_marks(text))
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
                gaps[separator].append(_between(held[-1], piece))
            key, at, separator = reader.key, end + 1, plain[end : end + 1]
            held.append(piece)
            remarks += reader.remarks
    except NotUnderstoodError as error:
        return error.fault(text)
    every = union_of(held)
    missing, unpublished = union_of(gaps[","]) - every, union_of(gaps[";"]) - every
    return PublishedHoldings(every, missing, unpublished, tuple(remarks))


def _without_additions(plain: str) -> tuple[str, list[StatementRemark]]:
    """Blank out what stands beside the numbers, in place, and close an end that is not known at its earliest."""
    remarks: list[StatementRemark] = []
    for pattern, kind in _LEFT_OUT:
        remarks += [StatementRemark(kind, match[0]) for match in pattern.finditer(plain)]
        plain = pattern.sub(lambda match: " " * len(match[0]), plain)
    for match in _UNKNOWN_END.finditer(plain):
        remarks.append(StatementRemark(StatementRemarkKind.UNKNOWN_END, match[0]))
    plain = _UNKNOWN_END.sub(lambda match: match[1] + "0" * len(match[2]), plain)
    return plain.replace("[", " ").replace("]", " "), remarks


def _between(before: Parts, after: Parts) -> Parts:
    """Return the numbers between two pieces of one run."""
    spans: dict[RunKey, Spans] = {}
    for key, found in before.spans.items():
        following = after.spans.get(key, ())
        if following and found[-1][1] + 1 < following[0][0]:
            spans[key] = ((found[-1][1] + 1, following[0][0] - 1),)
    return Parts(spans)


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
    before: tuple[RunKey, Fraction] | None = None
    for piece in write_pieces(parts, main="no."):
        if before is not None:
            written += "," if _lies_between(missing, before, (piece.key, piece.first)) else ";"
        written += piece.text
        before = piece.key, piece.last
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
