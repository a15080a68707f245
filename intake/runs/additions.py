"""What published statements write beside numbers: dates in brackets, notes, other numbers, an end that is not known.

The marks are those of ANSI/NISO Z39.71, whose table of punctuation was seen in a library's copy. What is taken away
leaves blanks behind, so that all else keeps its place.
"""

import re

from intake.runs.statements import StatementRemark, StatementRemarkKind

_DATE = r"\[?\d{4}\??(?:\s?[:/,-]\s?\[?(?:\d{1,4}\??|[^\W\d_]{3,10}\.?)\]?)*\]?"
_LEFT_OUT = (
    (re.compile(r"<[^<>]*>"), StatementRemarkKind.NOTE_LEFT_OUT),
    (re.compile(rf"\({_DATE}\)"), StatementRemarkKind.DATE_LEFT_OUT),
    (re.compile(r"(?<=\d)=[^,;\s-]*"), StatementRemarkKind.OTHER_NUMBER_LEFT_OUT),
)
_MARKS = frozenset("<(=?[]")
_UNKNOWN_END = re.compile(r"(?<=-)(\d{2,3})(\?{1,2})(?=\s*(?:[,;]|$))")


def without_additions(plain: str, start: int, end: int) -> tuple[str, list[StatementRemark]]:
    """Blank out what stands beside the numbers from `start` to `end`; close an end that is not known at its earliest.

    A word in brackets that is no date is left where it is, to be refused: it may take back what is stated.

    >>> without_additions("v.1-5(1990-1994)", 0, 16)[0]
    'v.1-5           '
    """
    remarks: list[StatementRemark] = []
    area = plain[start:end]
    if _MARKS.isdisjoint(area):  # as nearly always
        return plain, remarks
    for pattern, kind in _LEFT_OUT:
        remarks += [StatementRemark(kind, match[0]) for match in pattern.finditer(area)]
        area = pattern.sub(lambda match: " " * len(match[0]), area)
    remarks += [StatementRemark(StatementRemarkKind.UNKNOWN_END, match[0]) for match in _UNKNOWN_END.finditer(area)]
    area = _UNKNOWN_END.sub(lambda match: match[1] + "0" * len(match[2]), area)
    return plain[:start] + area.replace("[", " ").replace("]", " ") + plain[end:], remarks
