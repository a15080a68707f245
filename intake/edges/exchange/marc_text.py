"""The texts of MARC 21 fields that hold figures or marks: punctuation of ISBD, years, extents, sizes.

A library states the height in whole centimetres, rounded up, and the width after it where the shape is unusual
(ISBD, area 5). Our own files give all sizes in millimetres and the mass in grams, which the field allows.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from intake.model.lookups import RecordNoteKind
from intake.units.convert import G_PER_KG, MM_PER_CM, MM_PER_INCH
from intake.units.roman_numbers import roman_value

REMEMBERED = 4096
"""Texts of each kind that are not read twice: a catalog has the same publishers, sizes and extents again and again."""

_MARKS = re.compile(r"(?:\s+[/:;=]|\s*,)+\s*$")
_INITIAL = re.compile(r"(?:\b\w|\.\w+|\.\.)\.$")
_LAST_WORD = re.compile(r"(\w+)\.$")
_SHORT = re.compile(r"[^\W\d_aeiouyäöüáàâéèêíóôúůýąęō]{1,4}|\d{1,3}", re.IGNORECASE)
"""A word without a vowel, or a number that may be an ordinal."""
_ABBREVIATIONS = frozenset(
    re.findall(
        r"\w+",
        """abt al anm assoc aufl aug ausg auth bd bearb ber bibl bros buchh bull cie co coll comp corp corr dep dept
        durchges ed edn enl erg erw erweit etc expl facs fasc fig forew geb ges gmbh herausg hrsg ill illus impr inc
        incl intro jg kart kiad lfg libr nachdr nakl neubearb neudr no nr ofic oppl oprac orig pag pref proc prof
        pseud pub publ red repr rev ser soc sog suppl tab teilw tl tr trad trans ueberarb uitg umgearb univ unveraend
        unveränd uppl usw utg verb verf verl verm vol vollst vyd wyd zsgest éd édit rééd überarb""",
    )
)
"""Words that catalogers abbreviate, in several languages (AACR2, appendix B, and the German rules RAK; from memory)."""
_NAME_STOP = re.compile(r"(?<=\w{2})\.$")
_TITLES = ("Jr.", "Sr.", "St.", "Dr.", "Inc.", "Ltd.", "Co.")
_YEAR = re.compile(r"(?<!\d)(1[4-9]\d\d|20\d\d)(?!\d)")
_DOUBT = re.compile(r"[?]|\b(?:ca|circa|um|vers|not before|not after)\b", re.IGNORECASE)
_COPYRIGHT = re.compile(r"(?:[c©℗]|\bcop\.?)\s*$", re.IGNORECASE)

_UNITS = r"(?:pages?|pp?|seiten|str(?:an\w*)?|s|с|blz|sidor|páginas|pagin\w*|págs?)"
"""Page in the languages of cataloging (from memory); the second of one letter is Cyrillic."""
_SEQUENCE = r"\[?(?:\d+|[ivxlcdm]+)\]?"
_ONE_EXTENT = re.compile(rf"(\d+)\s*{_UNITS}\.?", re.IGNORECASE)
_BEFORE = rf"{_SEQUENCE},\s*|(?:[ivxlcdm]+|\[\d+\])-"
"""A sequence before another, behind a comma; in French a hyphen follows roman and bracketed ones ("XII-340 p.")."""
_EXTENTS = re.compile(rf"((?:{_BEFORE})*{_SEQUENCE})\s*{_UNITS}\b\.?(.*)", re.IGNORECASE)

_NUMBER = r"\d+(?:[.,]\d+)?"
_LENGTHS = re.compile(
    rf"(?:\b(height|width|thickness)\s+)?(?<![\d.,–-])({_NUMBER}(?:\s*[x×]\s*{_NUMBER}){{0,2}})\s*(mm|cm|in)\b\.?",
    re.IGNORECASE,
)
_MASS = re.compile(rf"(?<![\d.,–-])({_NUMBER})\s*(kg|g)\b\.?", re.IGNORECASE)
_MM = {"mm": 1.0, "cm": MM_PER_CM, "in": MM_PER_INCH}
SIDES = ("height", "width", "thickness")


@lru_cache(REMEMBERED)
def trimmed(text: str, *, has_punctuation: bool) -> str:
    """Return a text without the marks that ISBD puts between the elements of a record.

    Args:
        text: of a subfield.
        has_punctuation: whether the record's leader lets one expect such marks (position 18 is neither c nor n).

    >>> trimmed("Divers and petrels /", has_punctuation=True), trimmed("Larkmoss Co.", has_punctuation=True)
    ('Divers and petrels', 'Larkmoss Co.')
    """
    if not has_punctuation:
        return text.strip()
    text = _MARKS.sub("", " ".join(text.split()))
    return text if not text.endswith(".") or _keeps_stop(text) else text[:-1]


def _keeps_stop(text: str) -> bool:
    """Return whether the full stop at the end belongs to an initial, an abbreviation or an ellipsis."""
    word = _LAST_WORD.search(text)
    if word is None or _INITIAL.search(text):
        return True
    return word[1].casefold() in _ABBREVIATIONS or _SHORT.fullmatch(word[1]) is not None


@lru_cache(REMEMBERED)
def trimmed_name(text: str, *, has_punctuation: bool) -> str:
    """Return a name without the marks of ISBD; the full stop of an initial or a title stays.

    >>> [trimmed_name(text, has_punctuation=True) for text in ("Lind, Bo.", "Thorn, A.,", "Marrow, Cy, Jr.")]
    ['Lind, Bo', 'Thorn, A.', 'Marrow, Cy, Jr.']
    """
    if not has_punctuation:
        return text.strip()
    text = _MARKS.sub("", " ".join(text.split()))
    return text if text.endswith(_TITLES) else _NAME_STOP.sub("", text)


@lru_cache(REMEMBERED)
def year_in(text: str) -> tuple[str, RecordNoteKind | None]:
    """Return the first year in a date as a library writes it (empty where none), and what the date says besides.

    >>> year_in("1998."), year_in("[c1987?]")[1].name, year_in("1987, ©1986")[1].name, year_in("n.d.")
    (('1998', None), 'YEAR_UNCERTAIN', 'YEAR_FIRST_OF_SEVERAL', ('', None))
    """
    if text.strip().isdecimal():
        return text.strip(), None
    years = _YEAR.findall(text)
    if not years:
        return "", None
    before, _, after = text.partition(years[0])
    if _DOUBT.search(text):
        note = RecordNoteKind.YEAR_UNCERTAIN
    elif len(set(years)) > 1 or after.strip(" .]").startswith("-"):
        note = RecordNoteKind.YEAR_FIRST_OF_SEVERAL
    elif _COPYRIGHT.search(before):
        note = RecordNoteKind.YEAR_OF_COPYRIGHT
    elif (before + after).strip(" []().,:;"):
        note = RecordNoteKind.YEAR_OF_DATE
    else:
        return years[0], None
    return years[0], note


_BINDINGS = re.compile(
    r"\b(hbk|hb|hardcover|hardback|hard cover|cased|cloth|leather|pbk|pb|paperback|softcover|paper|spiral"
    r"|geb|gebunden|leinen|pappband|kart|kartoniert|brosch\w*|reli[ée]\w*|broch[ée]\w*|rilegat\w*|bross\w*"
    r"|encuadernad\w*)\b",
    re.IGNORECASE,
)
"""Words by which the qualifier of a number ("hbk.") is known for a binding, in several languages; common practice."""


def binding_in(qualifier: str) -> str:
    """Return the binding that the qualifier of a number names; empty where it names none.

    >>> binding_in("pbk. : v. 1"), binding_in("v. 2")
    ('pbk', '')
    """
    found = _BINDINGS.search(qualifier)
    return found[1] if found else ""


@dataclass(frozen=True, slots=True)
class Extent:
    """Count of pages (empty where not stated), and whether it was added up from several sequences."""

    pages: str
    is_sum: bool = False
    rest: str = ""


@lru_cache(REMEMBERED)
def extent_in(text: str) -> Extent:
    """Read an extent: "352 pages", or "xii, 345 p., [16] p. of plates", of which the plates are the rest.

    >>> extent_in("xii, 345 p.").pages, extent_in("[8]-320 p.").pages, extent_in("3 v. (1250 p.)").pages
    ('357', '328', '')
    """
    if single := _ONE_EXTENT.fullmatch(text.strip()):
        return Extent(single[1])
    if several := _EXTENTS.match(text.strip()):
        counts = [_count(part.strip(" []")) for part in re.split("[,-]", several[1])]
        return Extent(str(sum(counts)), is_sum=len(counts) > 1 or "[" in several[1], rest=several[2].strip(" ,;:+"))
    return Extent("", rest=text.strip())


def _count(text: str) -> int:
    return int(text) if text.isdigit() else roman_value(text)


@dataclass(frozen=True, slots=True)
class SizeReading:
    """Sizes in millimetres and a mass in grams by field, as a list writes them.

    Attributes:
        cells: field ("height_mm" …) to number.
        is_rounded: whether a height came in whole centimetres.
        rest: what was not understood.
    """

    cells: Mapping[str, str]
    is_rounded: bool
    rest: str


@lru_cache(REMEMBERED)
def sizes_in(text: str) -> SizeReading:
    """Read a size: "28 cm", "20 x 28 cm" (height before width), or "296 x 235 x 27 mm, 1910 g".

    >>> sizes_in("296 x 235 mm, 1910 g").cells
    {'height_mm': '296', 'width_mm': '235', 'mass_g': '1910'}
    """
    cells: dict[str, str] = {}
    rounded = False

    def take(match: re.Match[str]) -> str:
        nonlocal rounded
        label, numbers, unit = match.groups()
        sides = SIDES if label is None else (label.casefold(),)
        values = re.split(r"\s*[x×]\s*", numbers)
        if len(values) > len(sides) or any(f"{side}_mm" in cells for side in sides[: len(values)]):
            return match[0]
        for side, value in zip(sides, values, strict=False):
            cells[f"{side}_mm"] = plain_number(Decimal(value.replace(",", ".")) * Decimal(repr(_MM[unit.casefold()])))
        rounded = rounded or (unit.casefold() == "cm" and all(value.isdigit() for value in values))
        return ""

    def weigh(match: re.Match[str]) -> str:
        if "mass_g" in cells:
            return match[0]
        factor = G_PER_KG if match[2].casefold() == "kg" else 1.0
        cells["mass_g"] = plain_number(Decimal(match[1].replace(",", ".")) * Decimal(repr(factor)))
        return ""

    rest = _MASS.sub(weigh, _LENGTHS.sub(take, text))
    return SizeReading(cells, rounded, rest.strip(" ,.;:+"))


def plain_number(value: Decimal | float) -> str:
    """Write a number with no more digits than it has, and never with an exponent.

    >>> plain_number(296.0), plain_number(0.5)
    ('296', '0.5')
    """
    text = format(value if isinstance(value, Decimal) else Decimal(repr(value)), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def size_text(height_mm: float | None, width_mm: float | None, thickness_mm: float | None, mass_g: float | None) -> str:
    """Write the sizes that are known, so that `sizes_in` reads the same.

    >>> size_text(296.0, None, 27.0, 1910.0)
    'height 296 mm, thickness 27 mm, 1910 g'
    """
    sides = (height_mm, width_mm, thickness_mm)
    known = [(name, plain_number(side)) for name, side in zip(SIDES, sides, strict=True) if side is not None]
    in_order = [name for name, _ in known] == list(SIDES[: len(known)])
    if in_order:
        parts = [" x ".join(number for _, number in known) + " mm"] if known else []
    else:
        parts = [f"{name} {number} mm" for name, number in known]
    return ", ".join((*parts, *([f"{plain_number(mass_g)} g"] if mass_g is not None else ())))
