"""The heading of the Harmonized System under which a book is declared, and the reason.

Chapter 49 of the nomenclature of the World Customs Organization: 4901 printed books and brochures (4901.91
dictionaries and encyclopaedias, 4901.99 other), 4902 newspapers and periodicals (4902.90 other than at least four times
a week), 4903 children's picture, drawing or colouring books, 4904 music. Bound runs of periodicals belong to 4901 (note
3 to the chapter). A heading that the person has set on the edition takes precedence. The heading is a proposal: the
customs office decides, and countries add digits of their own. Antiques over a hundred years old (9706) are not
distinguished from other books.
"""

from dataclasses import dataclass

from intake.model.editions import Edition

OTHER_BOOKS = "4901.99"
MUSIC_PREFIX, SERIAL_PREFIX = "9790", "977"
BOUND = ("hard", "bound", "cloth", "leather")
NAMES = {
    "4901": "printed books",
    "4902": "periodicals",
    "4903": "children's picture books",
    "4904": "printed music",
    "4905": "printed maps",
}


@dataclass(frozen=True, slots=True)
class TariffHeading:
    """A heading, its name in words, and the reason for choosing it."""

    code: str
    name: str
    why: str


def tariff_heading(edition: Edition) -> TariffHeading:
    """Return the proposed heading for an edition.

    >>> tariff_heading(Edition(id=1, title="Ferns")).code
    '4901.99'
    """
    if edition.hs_heading:
        return TariffHeading(edition.hs_heading, _name(edition.hs_heading), "set by the owner")
    number, subject = edition.number or "", edition.subject.casefold()
    if number.startswith(MUSIC_PREFIX):
        return TariffHeading("4904.00", NAMES["4904"], "its number is that of printed music (ISMN)")
    if number.startswith(SERIAL_PREFIX):
        if any(word in edition.binding.casefold() for word in BOUND):
            return TariffHeading(OTHER_BOOKS, NAMES["4901"], "a bound run of a periodical (note 3 to chapter 49)")
        return TariffHeading("4902.90", NAMES["4902"], "its number is that of a periodical (ISSN)")
    if "picture book" in subject or "colouring book" in subject:
        return TariffHeading("4903.00", NAMES["4903"], f"its subject is {edition.subject}")
    if "dictionar" in subject or "encyclop" in subject:
        return TariffHeading("4901.91", "dictionaries and encyclopaedias", f"its subject is {edition.subject}")
    return TariffHeading(OTHER_BOOKS, NAMES["4901"], "a printed book of no other heading")


def _name(code: str) -> str:
    return NAMES.get(code.replace(" ", "")[:4], "as declared")
