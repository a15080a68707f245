"""The heading of the Harmonized System that is proposed for a book, and what has to be asked about it.

Chapter 49 of the nomenclature of the World Customs Organization: 4901 printed books and brochures (4901.91
dictionaries and encyclopaedias, 4901.99 other), 4902 newspapers and periodicals (4902.90 other than at least four times
a week), 4903 children's picture, drawing or colouring books, 4904 music, 4905 maps, with atlases as maps in book form.
Bound runs of periodicals belong to 4901 (note 3 to the chapter). The subheading 4905.20 was seen in a copy of the
EU tariff; that the edition of 2022 has it for all countries is from memory, and older tables have 4905.91.

Chapter 97: 9706 antiques over a hundred years old, from 2022 split into 9706.10 over 250 years and 9706.90 (seen in a
copy). Whether an old printed book goes to 4901 or 9706 is decided nationally, so that age only makes a question.

4903 is of children's picture, drawing or colouring books, and 4901.10 of single sheets, folded or not.

A heading that the owner has set on the edition takes precedence; it is questioned only where it is one of antiques and
the age is not. Every other is a proposal: the customs office decides, and countries add digits of their own.
"""

import re
from dataclasses import dataclass
from datetime import date
from enum import Enum, auto

from intake.model.editions import Edition

OTHER_BOOKS, DICTIONARIES, PERIODICALS = "4901.99", "4901.91", "4902.90"
PICTURE_BOOKS, MUSIC, ATLASES = "4903.00", "4904.00", "4905.20"
ANTIQUES_OVER_250, ANTIQUES = "9706.10", "9706.90"
MUSIC_PREFIX, SERIAL_PREFIX = "9790", "977"
SHEET_PAGES = 8
"""So many pages one folded sheet may have (common practice: two or four leaves)."""
BOUND = ("hard", "bound", "cloth", "leather")

_PICTURE_BOOKS = re.compile(r"\b(picture|drawing|colou?ring) books?\b")
_CHILDREN = re.compile(r"\b(child|children|children's|juvenile|nursery)\b")
_MUSIC = re.compile(r"\b(sheet music|printed music|music scores?|vocal scores?)\b")
_DICTIONARIES = re.compile(r"dictionar|encyclop")
_MAPS = re.compile(r"\b(atlas|atlases|maps?|cartograph\w*|sea charts?|hydrographic charts?)\b")
_SHEET = re.compile(r"\b(leaflet|sheet|broadside|broadsheet|flyer|folder)\b")
_ATLAS = re.compile(r"\batlas(es)?\b")
_OF_PLACES = re.compile(r"geograph|topograph|travel|navigation")


class HeadingReason(Enum):
    """Why a heading is proposed."""

    SET_BY_OWNER = auto()
    MUSIC_NUMBER = auto()
    MUSIC_SUBJECT = auto()
    SERIAL_NUMBER = auto()
    BOUND_RUN = auto()
    PICTURE_BOOK_SUBJECT = auto()
    DICTIONARY_SUBJECT = auto()
    MAPS_SUBJECT = auto()
    ATLAS_TITLE = auto()
    NO_OTHER = auto()


class HeadingQuestion(Enum):
    """What a person, and the customs office, have to decide about a heading.

    ATLAS_OF_MAPS: proposed under 4905 for its title alone. ATLAS_OF_OTHER: its title calls it an atlas, its subject
    does not say that it is one of maps. CHILDRENS_PICTURES: its title or subject is of children or of a picture book,
    and 4903 asks that pictures are the principal interest. SINGLE_SHEET: so few pages, or such a binding, that it may
    be one folded sheet, for which 4901 has a subheading of its own. MAPS_BY_SUBJECT: proposed under 4905 for its
    subject alone, which may only be the group that it is shelved with. SHEET_OR_MAP: a sheet whose subject or title is
    of maps: 4905.20 is for maps in book form, and a text about them is no map.
    """

    ATLAS_OF_MAPS = auto()
    ATLAS_OF_OTHER = auto()
    CHILDRENS_PICTURES = auto()
    SINGLE_SHEET = auto()
    MAPS_BY_SUBJECT = auto()
    SHEET_OR_MAP = auto()


@dataclass(frozen=True, slots=True)
class TariffHeading:
    """A heading, the reason for choosing it, and what is to be asked; no question for None."""

    code: str
    reason: HeadingReason
    question: HeadingQuestion | None = None

    @property
    def heading(self) -> str:
        """Return its first four digits."""
        return self.code.replace(" ", "").replace(".", "")[:4]


@dataclass(frozen=True, slots=True)
class AntiqueQuestion:
    """Whether a book is to be declared as an antique.

    Attributes:
        code: the heading in question.
        printed: the year of printing that this rests on.
        age: by the calendar years.
        set_code: the heading that the owner has set and that its age does not bear out; empty where none is set.
        on_the_limit: it is just 100 or 250 years by the calendar years, so that the day of printing decides.
    """

    code: str
    printed: int
    age: int
    on_the_limit: bool = False
    set_code: str = ""


def tariff_heading(edition: Edition) -> TariffHeading:
    """Return the proposed heading for an edition.

    >>> tariff_heading(Edition(id=1, title="Ferns")).code
    '4901.99'
    """
    if edition.hs_heading:
        return TariffHeading(edition.hs_heading, HeadingReason.SET_BY_OWNER)
    number, subject = edition.number or "", edition.subject.casefold()
    if number.startswith(MUSIC_PREFIX):
        return TariffHeading(MUSIC, HeadingReason.MUSIC_NUMBER)
    if number.startswith(SERIAL_PREFIX):
        if any(word in edition.binding.casefold() for word in BOUND):
            return TariffHeading(OTHER_BOOKS, HeadingReason.BOUND_RUN)
        return TariffHeading(PERIODICALS, HeadingReason.SERIAL_NUMBER)
    title = edition.title.casefold()
    if _is_sheet(edition) and (_MAPS.search(subject) or _ATLAS.search(title)):
        return TariffHeading(OTHER_BOOKS, HeadingReason.NO_OTHER, HeadingQuestion.SHEET_OR_MAP)
    return _by_subject(subject, title) or _by_title(title, subject) or _of_no_other(edition)


def _is_sheet(edition: Edition) -> bool:
    """Return whether a piece may be one sheet, folded or not, by its extent or its binding."""
    few = edition.pages is not None and 0 < edition.pages <= SHEET_PAGES
    return few or _SHEET.search(edition.binding.casefold()) is not None


def _by_subject(subject: str, title: str) -> TariffHeading | None:
    for pattern, code, reason in (
        (_PICTURE_BOOKS, PICTURE_BOOKS, HeadingReason.PICTURE_BOOK_SUBJECT),
        (_MUSIC, MUSIC, HeadingReason.MUSIC_SUBJECT),
        (_DICTIONARIES, DICTIONARIES, HeadingReason.DICTIONARY_SUBJECT),
        (_MAPS, ATLASES, HeadingReason.MAPS_SUBJECT),
    ):
        if pattern.search(subject):
            by_group = pattern is _MAPS and not _MAPS.search(title)
            return TariffHeading(code, reason, HeadingQuestion.MAPS_BY_SUBJECT if by_group else None)
    return None


def _of_no_other(edition: Edition) -> TariffHeading:
    """Return the heading of a book that nothing else is known of, with what may make it another one."""
    words, question = f"{edition.title} {edition.subject}".casefold(), None
    if _is_sheet(edition):
        question = HeadingQuestion.SINGLE_SHEET
    elif _PICTURE_BOOKS.search(words) or _CHILDREN.search(edition.subject.casefold()):
        question = HeadingQuestion.CHILDRENS_PICTURES
    return TariffHeading(OTHER_BOOKS, HeadingReason.NO_OTHER, question)


def _by_title(title: str, subject: str) -> TariffHeading | None:
    """Return the heading of a book whose title may call it an atlas: of maps, or of plants, bones or typefaces."""
    if not _ATLAS.search(title):
        return None
    if not subject or _OF_PLACES.search(subject):
        return TariffHeading(ATLASES, HeadingReason.ATLAS_TITLE, HeadingQuestion.ATLAS_OF_MAPS)
    return TariffHeading(OTHER_BOOKS, HeadingReason.NO_OTHER, HeadingQuestion.ATLAS_OF_OTHER)


def antique_question(edition: Edition, printed: int | None, on: date) -> AntiqueQuestion | None:
    """Return what is to be asked of an old book; None for a younger one or one of unknown age.

    A heading that is set is asked about only where it is one of antiques and not of those of this age.

    Args:
        edition: what it is.
        printed: the year of printing, as far as known.
        on: the day of import.

    >>> antique_question(Edition(id=1, title="Ferns"), 1770, date(2026, 11, 26)).code
    '9706.10'
    """
    if printed is None:
        return None
    if edition.hs_heading:
        return _set_antique(edition.hs_heading, printed, on.year - printed)
    age = on.year - printed
    if age > 250:
        return AntiqueQuestion(ANTIQUES_OVER_250, printed, age)
    if age == 250:
        return AntiqueQuestion(ANTIQUES, printed, age, on_the_limit=True)
    if age > 100:
        return AntiqueQuestion(ANTIQUES, printed, age)
    return AntiqueQuestion(ANTIQUES, printed, age, on_the_limit=True) if age == 100 else None


def _set_antique(code: str, printed: int, age: int) -> AntiqueQuestion | None:
    """Return what is to be asked where a heading of antiques is set; None for others, and on the limit of an age."""
    digits = re.sub(r"\D", "", code)[:6]
    if not digits.startswith("9706") or age in (100, 250):
        return None
    if age < 100:
        return AntiqueQuestion(OTHER_BOOKS, printed, age, set_code=code)
    fits = ANTIQUES_OVER_250 if age > 250 else ANTIQUES
    is_right = digits == "9706" or digits == fits.replace(".", "")
    return None if is_right else AntiqueQuestion(fits, printed, age, set_code=code)
