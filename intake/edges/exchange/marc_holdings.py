"""What a MARC 21 record says is collected (505), and what a serial's says is held of it (866, else 853 with 863).

What stands there is returned as a published statement (ANSI/NISO Z39.71), to be read as one. Source: MARC 21 Format for
Holdings Data (seen in a copy).
"""

import re
from collections.abc import Iterable

from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.record_remarks import Remarks

CONTENTS = "505"
COLLECTS = "Collects: "
"""How a note of contents (505 $a) begins that says which parts of serials are collected."""
SERIAL = "s"
"""Leader, position 7."""
HOLDINGS_TAGS = ("853", "863", "866")
HELD = "held parts"
"""The name of the cell with what a serial's record says is held of it: published statements, a line for each."""
LEVELS = "abcdef"
DATED = re.compile(r"\(.*\)")
ORDINAL = "+"


def collected_in(notes: Iterable[MarcField], remarks: Remarks) -> str:
    """Return what notes of contents say is collected; those that say anything else are noted."""
    collects: list[str] = []
    for note in notes:
        text = note.first("a")
        if text.startswith(COLLECTS):
            collects.append(text.removeprefix(COLLECTS))
        else:
            remarks.left_out(CONTENTS, note.text)
    return "; ".join(collects)


def is_serial(record: MarcRecord) -> bool:
    """Return whether a record describes a serial."""
    return record.leader[7] == SERIAL


def holdings_statements(record: MarcRecord) -> tuple[str, ...]:
    """Return the statements of what is held of a serial, by field; none for any other record.

    A text (866) is preferred to the numbering it sums up; captions of a level that is a date are left out.
    """
    if not is_serial(record):
        return ()
    texts = tuple(text for field in record.having("866") for text in field.all("a"))
    if texts:
        return texts
    captions = {field.first("8"): field for field in record.having("853")}
    pieces = [
        piece
        for field in record.having("863")
        if (piece := _numbered(field, captions.get(field.first("8").partition(".")[0])))
    ]
    return (",".join(pieces),) if pieces else ()


def _numbered(field: MarcField, captions: MarcField | None) -> str:
    """Return the numbering of a field behind its captions: `v.1-3`, `v.4:no.1-6`, `v.1:no.1-v.3:no.12`."""
    levels: list[tuple[str, str]] = []
    for code in LEVELS:
        number = field.first(code)
        caption = captions.first(code) if captions is not None else ""
        if number and not DATED.fullmatch(caption):
            levels.append((caption.lstrip(ORDINAL), number))
    if any("-" in number for _, number in levels[:-1]):
        ends = [number.partition("-")[::2] for _, number in levels]
        first = ":".join(f"{caption}{end[0]}" for (caption, _), end in zip(levels, ends, strict=True))
        last = ":".join(f"{caption}{end[1] or end[0]}" for (caption, _), end in zip(levels, ends, strict=True))
        return f"{first}-{last}"
    return ":".join(f"{caption}{number}" for caption, number in levels)
