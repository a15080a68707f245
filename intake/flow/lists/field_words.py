"""What a field of a list is called on a page, where no heading has to be typed."""

from collections.abc import Mapping

from intake.flow.lists.import_list import ListKind

KEY_OR_TITLE = "the edition, by its key or title"
"""A copy is of an edition, which a list without numbers names by its title."""
_KEYS = {ListKind.COPIES: KEY_OR_TITLE, ListKind.PRINTINGS: "the edition, by its key"}
_WORDS: Mapping[str, str] = {
    "number": "ISBN, ISSN or another number of the edition",
    "isbn": "the edition, by its ISBN",
    "add_on": "supplement: the 2 or 5 digits beside a barcode",
    "key": "key: your own name for the edition",
    "copy": "number of the copy",
    "printed_in": "country of printing",
    "hs_heading": "customs heading (Harmonized System)",
    "height_mm": "height",
    "width_mm": "width",
    "thickness_mm": "thickness",
    "depth_mm": "depth",
    "length_mm": "length",
    "mass_g": "mass",
    "size": "size: all sides in one cell",
    "collects": "numbers of a serial that it collects",
    "why": "why it is kept",
    "kept": "never to go",
    "grade": "grade: its condition in a word of the trade",
    "condition": "condition: its defects, in words",
    "valued_on": "day of the value",
    "source": "who states the value",
    "points": "points that tell the printing",
    "above_floor_mm": "height above the floor",
    "board_mm": "thickness of the board",
    "span_mm": "distance between its supports",
    "rated_kg": "load that its maker allows",
    "bookcase_width_mm": "width of the bookcase",
    "bookcase_depth_mm": "depth of the bookcase",
    "bookcase_mass_kg": "mass of the bookcase",
    "tare_g": "mass of the empty box",
    "gross_g": "mass of the packed box",
}


def field_words(field: str, kind: ListKind | None = None) -> str:
    """Return what a field is called.

    Args:
        field: its name in lists, such as "mass_g".
        kind: the list that it is a field of; None where that makes no difference.

    >>> field_words("add_on"), field_words("bill_of_lading"), field_words("key", ListKind.COPIES)
    ('supplement: the 2 or 5 digits beside a barcode', 'bill of lading', 'the edition, by its key or title')
    """
    if field == "key" and kind in _KEYS:
        return _KEYS[kind]
    return _WORDS.get(field, field.replace("_", " "))
