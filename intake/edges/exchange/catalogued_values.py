"""Values as cataloguing rules write them: names turned round, sequences of pages, years, ISBD's punctuation.

The punctuation is that of the International Standard Bibliographic Description (ISBD): at the end of an element a mark
leads on to the next.
"""

import re

YEARS = range(1400, 2100)
ISBD_END = re.compile(r"\s*[/:;,=]\s*$")
NAME_STOP = re.compile(r"(?<=\w{2})\.$")
ABBREVIATIONS = ("Jr.", "Sr.", "St.", "Dr.", "Inc.", "Ltd.", "Co.")
FULL_STOP = re.compile(r"(?<=\w{3})\.$")


def clean(text: str) -> str:
    """Take off the punctuation that leads on to the next element, and a full stop that ends no abbreviation.

    >>> clean("Ferns of the outer isles /"), clean("Ferns."), clean("Thorn, A."), clean("Gulls ...")
    ('Ferns of the outer isles', 'Ferns', 'Thorn, A.', 'Gulls ...')
    """
    return FULL_STOP.sub("", ISBD_END.sub("", text.strip()))


def without_isbd(text: str) -> str:
    """Take off only the mark that leads on to the next element; a full stop may end an abbreviation ("2nd ed.")."""
    return ISBD_END.sub("", text)


def clean_name(name: str) -> str:
    """Take the closing punctuation off a name; the full stop of an initial or a title stays.

    >>> clean_name("Lind, Bo."), clean_name("Thorn, A."), clean_name("Marrow, Cy, Jr."), clean_name("Gull Society.")
    ('Lind, Bo', 'Thorn, A.', 'Marrow, Cy, Jr.', 'Gull Society')
    """
    text = without_isbd(name.strip())
    return text if text.endswith(ABBREVIATIONS) else NAME_STOP.sub("", text)


def turned_name(name: str) -> str:
    """Turn "Thorn, Ada" round.

    >>> turned_name("Thorn, Ada"), turned_name("Thorn"), turned_name("Thorn, Ada, the elder")
    ('Ada Thorn', 'Thorn', 'Thorn, Ada, the elder')
    """
    parts = [part.strip() for part in name.split(",")]
    return f"{parts[1]} {parts[0]}" if len(parts) == 2 and all(parts) else name


def year_in(text: str) -> int | None:
    """Return the year that four digits are; None for anything else, and for a year in which no book was printed."""
    return int(text) if text.isascii() and text.isdigit() and int(text) in YEARS else None


def sides_cm(size: str) -> tuple[float, ...]:
    """Return height, and width where it is stated, in centimetres.

    >>> sides_cm("28 cm."), sides_cm("20 x 28 cm"), sides_cm("4to")
    ((28.0,), (20.0, 28.0), ())
    """
    found = re.search(r"(\d{1,3}(?:[.,]\d)?)(?:\s*[x×]\s*(\d{1,3}(?:[.,]\d)?))?\s*cm", size)
    return tuple(float(side.replace(",", ".")) for side in found.groups() if side) if found else ()


def page_sequences(extent: str) -> list[int]:
    """Return the numbers of pages in the sequences of an extent; none where it is in volumes or not stated.

    >>> page_sequences("xii, 345 p."), page_sequences("81 p., [5] leaves of plates")
    ([12, 345], [81])
    >>> page_sequences("3 v. (1250 p.)"), page_sequences("iii, 41 Seiten")
    ([], [3, 41])
    """
    sequence = r"(?:\[?(?:[ivxlc]+|\d{1,5})\]?)"
    # Page, Seite, page, pagina, página, str(ona), s(ivu), in the languages of cataloguing.
    found = re.match(
        rf"\s*({sequence}(?:\s*,\s*{sequence})*)\s*(?:p|s|seiten|pages?|pagin\w*|páginas?|stran\w*)\b", extent.lower()
    )
    if found is None:
        return []
    return [number for part in found[1].split(",") if (number := _leaf(part.strip(" []"))) > 0]


def _leaf(text: str) -> int:
    if text.isdigit():
        return int(text)
    values = [dict(zip("ivxlc", (1, 5, 10, 50, 100), strict=True))[letter] for letter in text]
    following = (*values[1:], 0)
    return sum(-value if value < after else value for value, after in zip(values, following, strict=True))
