"""What each column of a list takes, with an example: the same words wherever a list is asked for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.flow.lists.columns import ListColumn

YES_OR_NO = "yes or no"
MILLIMETRES = "millimetres, without a unit"
GRAMS = "grams, without a unit"
KILOGRAMS = "kilograms, without a unit"

MEANINGS: Mapping[str, tuple[str, str]] = {
    "title": ("the title as on the title page", "Divers and Petrels"),
    "key": ("your own reference for the edition, or its number", "SEA-1"),
    "number": ("ISBN, ISSN or other retail number, with or without hyphens", "979-5-2203-1488-4"),
    "isbn": ("ISBN or other number of the edition, beside its key or instead of it", "979-5-2203-1488-4"),
    "add_on": ("the 2 or 5 digits printed beside the bar code", "05"),
    "contributors": ("authors, editors and illustrators, separated by semicolons", "Ansgar Wickenlow; Petra Oulde"),
    "publisher": ("the publisher's name", "Larkmoss Press"),
    "year": ("the year, four digits", "1998"),
    "edition": ("the statement of edition", "2nd edition, revised"),
    "binding": ("hardcover, softcover …", "hardcover"),
    "language": ("language of the text: its ISO 639 code, or its name", "eng"),
    "subject": ("what is shelved together", "Birds"),
    "printed_in": ("country of printing, ISO 3166 code", "DE"),
    "call_number": ("Dewey or Library of Congress call number", "598.4"),
    "hs_heading": ("heading of the Harmonized System, for customs", "4901.99"),
    "pages": ("number of pages", "352"),
    "height_mm": (MILLIMETRES, "296"),
    "width_mm": (MILLIMETRES, "235"),
    "thickness_mm": (MILLIMETRES, "27"),
    "length_mm": (MILLIMETRES, "420"),
    "depth_mm": (MILLIMETRES, "300"),
    "size": ("height x width x thickness in one cell, with their unit", "296 x 235 x 27 mm"),
    "mass_g": (GRAMS, "1910"),
    "set": ("title of the set that the volume belongs to", "Seabirds of the Corrovane Shelf"),
    "volume": ("the volume as the set designates it", "1"),
    "printing": ("which printing, as a whole number", "2"),
    "number_line": ("the printer's key as printed", "10 9 8 7 6 5 4 3 2"),
    "points": ("what distinguishes this printing from others", "Errata slip at page 211"),
    "collects": (
        "which parts of serials it collects; one issue numbered 45/46 is written so and counts once",
        "Tidewrack Quarterly 57-83, 90, annual 2",
    ),
    "price": ("what a copy costs, without its currency", "12.50"),
    "kept": ("yes for a copy that is never to go", "yes"),
    "why": ("why it is kept, in your own words", "read aloud on the crossing"),
    "copy": ("the copy's own number, where the row corrects that very copy", ""),
    "box": ("number of the box; digits alone are always the number", "2"),
    "room": ("name of the room; that of a copy is kept with its box", "Study"),
    "grade": ("grade of the book, in the trade's terms", "Near Fine"),
    "jacket": ("grade of the jacket; 'none' where the copy has no jacket, 'yes' for one of unknown grade", "Very Good"),
    "wrapped": (YES_OR_NO, "yes"),
    "condition": ("defects and what else is stated", "rubbed at the foot"),
    "note": ("anything else", "bought with SEA-2"),
    "value": ("an amount, without its currency", "180.00"),
    "currency": ("ISO 4217 code of the value", "EUR"),
    "basis": ("purchase, replacement, market or agreed; a value without one counts as replacement", "market"),
    "valued_on": ("day of the value", "2026-01-15"),
    "source": ("where the value comes from", "auction results"),
    "consignment": ("the carrier's reference", "SKV-26-00417"),
    "tare_g": (GRAMS, "880"),
    "gross_g": (GRAMS, "22800"),
    "seal": ("number of the seal", "VS-40217"),
    "reference": ("the carrier's reference", "SKV-26-00417"),
    "consignor": ("who sends", "Ione Vellacroft"),
    "consignee": ("who receives", "Ione Vellacroft"),
    "carrier": ("who carries", "Skerrivan Ocean Removals"),
    "origin": ("from where", "Tarnhollow, Wexmere"),
    "destination": ("to where", "Port Osmarra, Lesser Thornel"),
    "dispatched": ("day of dispatch", "2026-03-09"),
    "policy": ("number of the policy that insures the transport", "TP-0417"),
    "contract": ("number of the contract of carriage or removal", "SOR-26-88"),
    "bill_of_lading": ("number of the bill of lading, waybill or consignment note", "SKVL0417"),
    "boxes": (
        "numbers of the boxes that travel in it, no others, separated by semicolons; 'all' is every box in none yet",
        "all",
    ),
    "bookcase": ("name of the bookcase", "Window bookcase"),
    "shelf": ("name of the shelf, from the top", "1"),
    "above_floor_mm": (MILLIMETRES, "824"),
    "material": ("of the boards: particleboard, MDF, plywood, pine, oak …", "pine"),
    "board_mm": (MILLIMETRES, "22"),
    "span_mm": ("between supports, " + MILLIMETRES, "880"),
    "rated_kg": ("what its maker allows on the shelf, " + KILOGRAMS, "40"),
    "bookcase_width_mm": (MILLIMETRES, "930"),
    "bookcase_depth_mm": (MILLIMETRES, "320"),
    "bookcase_mass_kg": (KILOGRAMS, "38"),
}
"""By field: what it takes, and an example from the invented household of the demonstration."""


@dataclass(frozen=True, slots=True)
class ColumnHelp:
    """What a person has to know about one column."""

    field: str
    meaning: str
    example: str
    other_headings: tuple[str, ...]
    required: bool


def column_help(columns: Sequence[ListColumn]) -> tuple[ColumnHelp, ...]:
    """Return the help for each column of a list."""
    return tuple(ColumnHelp(c.field, *MEANINGS[c.field], c.names, c.required) for c in columns)
