"""Several sizes in one cell, such as 28,5 x 21 x 3 cm: which of them is the height, the width and the thickness.

Libraries and the trade write the height first (ISBD, area 5: height x width), the thickness last; shops and makers of
boxes often write the width first. A heading that names the order ("Maße (H x B x T)") decides; so do the cells where
they agree with the usual order: the thickness is the smallest of three, and most books are higher than wide (common
practice, no source). Otherwise a person is asked.
"""

import re
from collections.abc import Sequence

from intake.errors import UsageError
from intake.flow.lists.reasons import CellError, RowReason
from intake.flow.lists.size_orders import FIELDS, SizeOrder, letter_of
from intake.flow.lists.written_cells import number_part, unit_part
from intake.units.quantities import TIMES, parse_sides_mm
from intake.units.written_numbers import DecimalMark, read_number

SIDE = re.compile(r"\s*(?P<word>[^\W\d_]+)[\s.:]*(?P<size>\d.*)")
LIKE_SIZE = re.compile(r"\d+(?:[.,]\d+)?\s*(?:mm|cm|in)?\s*[x×]\s*\d+(?:[.,]\d+)?", re.IGNORECASE)
NAMED = re.compile(r"(?:DIN|ISO)?[\s-]*(?P<name>[AB]\d{1,2})", re.IGNORECASE)
FOLDED = re.compile(
    r"(?:(?:gr|kl|lex|large|small|royal|crown|demy|grand|petit|quer)\.?[\s-]*)?"
    r"(?:\d{1,2}\s?(?:°|º|vo|mo|to)|in[-\s](?:\d{1,2}|folio)\s?[°º]?"
    r"|(?:elephant )?folio|fol|quarto|octavo|oktav|quart)\.?",
    re.IGNORECASE,
)
"""How often a sheet was folded, as the trade names formats in several languages: no size, for sheets differ."""
SHEETS_MM = {
    "A2": (594, 420),
    "A3": (420, 297),
    "A4": (297, 210),
    "A5": (210, 148),
    "A6": (148, 105),
    "A7": (105, 74),
    "B3": (500, 353),
    "B4": (353, 250),
    "B5": (250, 176),
    "B6": (176, 125),
    "B7": (125, 88),
}
"""Height and width of upright sheets of ISO 216, in mm, in the sizes that books have; a person is told that they were
taken so, for a trimmed or an oblong book has others."""
MOSTLY = 0.75
"""So many of the books of a column are enough to tell; common practice, no source."""


def is_like_size(text: str) -> bool:
    """Return whether a text is several lengths, or a sheet that has them."""
    return LIKE_SIZE.match(text) is not None or named_sheet(text) is not None


def named_sheet(text: str) -> tuple[int, int] | None:
    """Return height and width in mm of a sheet that is named by ISO 216, None where a text names none.

    >>> named_sheet("DIN A5"), named_sheet("A4 quer"), named_sheet("4to")
    ((210, 148), None, None)
    """
    match = NAMED.fullmatch(text.strip())
    return SHEETS_MM.get(match["name"].upper()) if match else None


def is_fold(text: str) -> bool:
    """Return whether a text says how a sheet was folded, which is no size.

    >>> is_fold("8°"), is_fold("24 cm")
    (True, False)
    """
    return FOLDED.fullmatch(text.strip()) is not None


def sides_mm(text: str, unit: str, order: SizeOrder) -> dict[str, float]:
    """Return the sizes in millimetres by field.

    Raises:
        CellError: they cannot be read.
    """
    if sheet := named_sheet(text):
        return {FIELDS[letter]: float(length) for letter, length in zip("hw", sheet, strict=True)}
    if is_fold(text):
        raise CellError(RowReason.SIZE_OF_FOLD, field="size", text=text)
    named = [SIDE.match(side) for side in TIMES.split(text.strip())]
    sides = "".join(letter_of(side["word"].casefold()) for side in named if side is not None)
    try:
        if len(sides) == len(named) and len(set(sides)) == len(sides) and "?" not in sides:  # such as 縦26×横19cm
            lengths = parse_sides_mm(" x ".join(side["size"] for side in named if side is not None), unit)
            return {FIELDS[letter]: length for letter, length in zip(sides, lengths, strict=True)}
        lengths = parse_sides_mm(text, unit)
    except UsageError as error:
        raise CellError(RowReason.NOT_WITH_UNIT, field="size", text=text, why=error.why) from None
    letters = [letter for letter in order if len(lengths) == len(FIELDS) or letter != "t"]
    if len(lengths) == 1:
        letters = ["h"]
    return {FIELDS[letter]: length for letter, length in zip(letters, lengths, strict=True)}


def side_numbers(text: str) -> tuple[float, ...]:
    """Return the bare numbers of a cell of sizes; empty where one of them is none."""
    numbers = [
        read_number(number_part(side).replace(",", "."), DecimalMark.POINT) for side in TIMES.split(text.strip())
    ]
    return tuple(float(number) for number in numbers if number is not None) if None not in numbers else ()


def has_unit(text: str) -> bool:
    """Return whether a cell of sizes names a unit."""
    return any(unit_part(side) for side in TIMES.split(text.strip()))


def order_shown(cells: Sequence[tuple[float, ...]]) -> SizeOrder | None:
    """Return the usual order where the cells agree with it, None where they speak for another.

    >>> order_shown([(285, 210, 30), (300, 240, 25)]), order_shown([(210, 285, 30), (240, 300, 25)])
    (<SizeOrder.HEIGHT_WIDTH: 'hwt'>, None)
    """
    thick = [cell[2] < min(cell[:2]) for cell in cells if len(cell) == len(FIELDS) and cell[2] != min(cell[:2])]
    high = [cell[0] > cell[1] for cell in cells if len(cell) > 1 and cell[0] != cell[1]]
    agrees = all(not shown or sum(shown) >= MOSTLY * len(shown) for shown in (thick, high))
    return SizeOrder.HEIGHT_WIDTH if agrees else None
