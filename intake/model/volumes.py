"""Which volumes a designation names: "3", "Bd. IV", "1-6", "1, 3", "2.1", "2019/1", "2019/1-6".

A volume's number is one figure, or two where it is a part of a volume or an issue of a year: (3,), (2, 1), (2019, 1).
Decisions, where usage is not one (common practice, no source):

- "1/2" is a double volume, for the second figure follows the first; "3/1" and "2.1" are parts, "1,3" are two volumes.
- After a year stand issues ("2019/1", "2019-4"), unless the next year does ("2019/2020", "2019/20").
- C, D, L and M alone are letters (parts A, B, C …), not Roman numbers; i, v and x alone are numbers.
- What begins with another word ("Atlas", "Supplement 2") is named, and no number of the set.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from intake.units.roman_numbers import roman_value

Number = tuple[int, ...]

FIRST_YEAR, LAST_YEAR = 1400, 2999
WIDEST = 500
"""Most volumes in one range; a wider one is no range."""

WIDEST_TYPED = 100
"""Most volumes of a range that a person types to search; a wider one is words."""

_LABELS = (
    "volumes?|vols?|v|bände|bde|band|bd|bind|tomes?|toms?|tomos?|t|deel|del|jahrgang|jg|volúmenes|volumen|том|т|cilt"
)
_PART_LABELS = "parts?|pts?|teil|tl|halbband|nos?|nr|numbers?|issues?|heft|hefte|h|fasc|fascicles?|n°|№"
_LABEL = re.compile(rf"\b(?:{_LABELS})\b\.?", re.IGNORECASE)
_PART_LABEL = re.compile(rf"(?:(?<=\d)\s*,?\s*|)(?:\b(?:{_PART_LABELS})\b\.?)", re.IGNORECASE)
_AND = re.compile(r"\s*(?:\+|&|\b(?:and|und|et|y)\b)\s*", re.IGNORECASE)
_TO = re.compile(r"\s*(?:[-\u2010-\u2015\u2212]|\b(?:to|bis)\b)\s*", re.IGNORECASE)
_ROMAN = re.compile(r"\b(?=[IVXLCDM])M{0,3}(?:CM|CD|D?C{0,3})(?:XC|XL|L?X{0,3})(?:IX|IV|V?I{0,3})\b")
_NUMBER = r"\d{1,4}(?:[./§]\d{1,4}|[a-z]\b)?"
_ITEM = re.compile(rf"({_NUMBER})(?:-({_NUMBER}))?(?![\w§-])")
_TAIL = re.compile(rf"(?=(?:[,;:(\u2013\u2014]|\b(?:{_LABELS}|{_PART_LABELS})\b)(.*)$)", re.IGNORECASE)
"""What follows each mark or label of a title, to its end."""
_LIST_MARK = re.compile(r"\s*[,;]\s*")


@dataclass(frozen=True, slots=True, order=True)
class VolumeSpan:
    """The volumes from `first` to `last`, both included and equally long; most often they are one."""

    first: Number
    last: Number

    def numbers(self) -> tuple[Number, ...]:
        """List the numbers.

        >>> VolumeSpan((2019, 1), (2019, 3)).numbers()
        ((2019, 1), (2019, 2), (2019, 3))
        """
        if self.first[:-1] != self.last[:-1]:
            return (self.first, self.last)
        return tuple((*self.first[:-1], nth) for nth in range(self.first[-1], self.last[-1] + 1))

    def overlaps(self, other: "VolumeSpan") -> bool:
        """Return whether a volume is in both; a part is in its volume."""
        depth = min(len(self.first), len(other.first))
        return self.first[:depth] <= other.last[:depth] and other.first[:depth] <= self.last[:depth]


VolumeKey = tuple[VolumeSpan, ...] | str
"""What a volume is known by within its set (`volume_key`)."""


def volume_spans(designation: str) -> tuple[VolumeSpan, ...]:
    """Return the volumes that a designation names by number; none where it names none, or none that can be understood.

    >>> volume_spans("Vols. 1-6"), volume_spans("2019/1"), volume_spans("Atlas")
    ((VolumeSpan(first=(1,), last=(6,)),), (VolumeSpan(first=(2019, 1), last=(2019, 1)),), ())
    """
    text = _plain(designation)
    spans: list[VolumeSpan] = []
    at = 0
    while match := _ITEM.match(text, at):
        first, last = match[1], match[2]
        span = _span(first, last)
        if span is None:
            return ()
        spans.append(span)
        mark = _LIST_MARK.match(text, match.end())
        if mark is None:
            break
        at = mark.end()
    return _parts_after_comma(text, spans)


def volume_numbers(designation: str) -> tuple[Number, ...]:
    """Return every number that a designation names.

    >>> volume_numbers("1-3, 5")
    ((1,), (2,), (3,), (5,))
    """
    return tuple(number for span in volume_spans(designation) for number in span.numbers())


def is_unclear(designation: str) -> bool:
    """Return whether a designation begins with a figure and yet cannot be understood ("1-99999")."""
    return not volume_spans(designation) and _plain(designation)[:1].isdecimal()


def is_year(number: Number) -> bool:
    """Return whether the first figure of a number is a year, not a volume."""
    return FIRST_YEAR <= number[0] <= LAST_YEAR


def number_words(number: Number) -> str:
    """Write a volume's number ("3", "2019/1")."""
    return "/".join(map(str, number))


def designation_like(number: Number, others: Iterable[str]) -> str:
    """Write a volume's number as its set writes others: in Roman figures where all single ones are.

    >>> designation_like((4,), ["I", "II"]), designation_like((4,), ["1", "II"]), designation_like((2019, 1), [])
    ('IV', '4', '2019/1')
    """
    single = [name.strip() for name in others if volume_number(name) is not None]
    if len(number) == 1 and single and all(map(re.compile("[IVXLCDM]+").fullmatch, single)):
        written = _roman(number[0])
        if volume_number(written) == number[0]:  # L alone, for one, is a letter
            return written
    return number_words(number)


def covers(designation: str, number: Number) -> bool:
    """Return whether a designation names a volume or a part of it, or a span with it inside.

    >>> covers("1-6", (2,)), covers("2019/1-6", (2019, 4)), covers("2.1", (2,)), covers("3", (2,))
    (True, True, True, False)
    """
    wanted = VolumeSpan(number, number)
    return any(span.overlaps(wanted) for span in volume_spans(designation))


def split_volume(text: str) -> tuple[str, tuple[Number, ...]]:
    """Split what a person typed into words and the volume, or the range of volumes, named at the end.

    >>> split_volume("ferns vol. 2"), split_volume("ferns 1-3"), split_volume("ferns")
    (('ferns', ((2,),)), ('ferns', ((1,), (2,), (3,))), ('ferns', ()))
    """
    match = re.fullmatch(rf"(.*?\S)\s+(?:(?:{_LABELS}|{_PART_LABELS})\b\.?\s*)?(\S*\d\S*|[IVX]+)", text.strip(), re.I)
    numbers = volume_numbers(match[2]) if match else ()
    return (match[1], numbers) if match and 0 < len(numbers) <= WIDEST_TYPED else (text, ())


def volume_number(designation: str) -> int | None:
    """Return the number of one whole volume, arabic or roman; None for a range, a part, an issue of a year or a name.

    >>> volume_number("3"), volume_number("Vol. XIV"), volume_number("1-6"), volume_number("Atlas")
    (3, 14, None, None)
    """
    numbers = volume_numbers(designation)
    return numbers[0][0] if len(numbers) == 1 and len(numbers[0]) == 1 else None


def split_volumes(designations: str) -> tuple[str, ...]:
    """Return the designations of volumes that are separated by commas.

    >>> split_volumes("2, 4"), split_volumes("")
    (('2', '4'), ())
    """
    return tuple(filter(None, (name.strip() for name in designations.split(","))))


def volume_key(designation: str) -> VolumeKey:
    """Return by what a volume of a set is known: what it names by number, else its name without its case.

    >>> volume_key("Vol. 2") == volume_key("II"), volume_key("2019/1") == volume_key("2019, no. 1"), volume_key("Atlas")
    (True, True, 'atlas')
    """
    return volume_spans(designation) or designation.strip().casefold()


def ends_with_volume(title: str, designation: str) -> bool:
    """Return whether a title ends with the designation of its volume, behind a mark or a word for a volume.

    >>> ends_with_volume("Ferns, Volume 2", "2"), ends_with_volume("Ferns, II", "2"), ends_with_volume("Room 2", "2")
    (True, True, False)
    """
    wanted = _plain(designation).casefold()
    tails = {match[1] for match in _TAIL.finditer(title)}
    if not wanted.isdecimal():
        tails.add(title.rpartition(" ")[2])
    return bool(wanted) and any(_plain(tail.strip(" )")).casefold() == wanted for tail in tails)


def overlapping(designations: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Return the pairs of different designations that name a volume both.

    >>> overlapping(["1-6", "3", "7"])
    (('1-6', '3'),)
    """
    spans = [(name, volume_spans(name)) for name in dict.fromkeys(designations)]
    return tuple(
        (name, other)
        for nth, (name, own) in enumerate(spans)
        for other, theirs in spans[nth + 1 :]
        if any(one.overlaps(two) for one in own for two in theirs)
    )


def _plain(designation: str) -> str:
    """Return a designation without its labels, Roman numbers as figures, with "-" for to, "," for and, "§" for part."""
    text = designation.strip()
    bare = _LABEL.sub(" ", text, count=1).strip()
    if re.fullmatch("[ivx]+" if bare == text else "[ivxlcdm]+", bare):
        text = bare.upper()
    text = _LABEL.sub(" ", _ROMAN.sub(lambda match: _figures(match[0]), text))
    text = _PART_LABEL.sub(lambda match: "§" if match.start() and text[match.start() - 1].isdecimal() else " ", text)
    text = re.sub(r"\s*([./§])\s*(?=\d)", r"\1", _TO.sub("-", _AND.sub(",", text)))
    return text.strip(" .,:;")


def _figures(roman: str) -> str:
    if not roman or roman in ("C", "D", "L", "M"):
        return roman
    return str(roman_value(roman))


def _roman(number: int) -> str:
    values = (1000, 900, 500, 400, 100, 90, 50, 40, 10, 9, 5, 4, 1)
    letters = ("M", "CM", "D", "CD", "C", "XC", "L", "XL", "X", "IX", "V", "IV", "I")
    written = ""
    for value, letter in zip(values, letters, strict=True):
        count, number = divmod(number, value)
        written += count * letter
    return written


def _number(text: str) -> tuple[Number, str]:
    """Return the one or two figures of a number, and the mark between them."""
    match = re.fullmatch(r"(\d+)(?:([./§])(\d+)|([a-z]))?", text)
    if match is None:
        raise ValueError(text)
    if match[4]:
        return (int(match[1]), ord(match[4]) - ord("a") + 1), "§"
    return ((int(match[1]), int(match[3])), match[2]) if match[3] else ((int(match[1]),), "")


def _span(first: str, last: str | None) -> VolumeSpan | None:
    start, mark = _number(first)
    if last is None:
        if mark == "/" and _follows(start, first):
            return VolumeSpan(start[:1], (_whole_year(start),))
        return VolumeSpan(start, start)
    end, _ = _number(last)
    if len(start) == len(end) == 1:
        return _range(start[0], end[0], last)
    if len(start) == 2 and len(end) == 1:
        end = (start[0], end[0])
    if len(start) != len(end) or not start <= end:
        return None
    return VolumeSpan(start, end)


def _follows(number: Number, written: str) -> bool:
    """Return whether the second figure is the next volume or year, not a part."""
    volume, second = number
    if not is_year(number):
        return second == volume + 1
    return second == volume + 1 or (second == (volume + 1) % 100 and len(written.partition("/")[2]) == 2)


def _whole_year(number: Number) -> int:
    return number[0] + 1


def _range(first: int, last: int, written: str) -> VolumeSpan | None:
    if is_year((first,)) and last < FIRST_YEAR:
        if last == (first + 1) % 100 and len(written) == 2:
            return VolumeSpan((first,), (first + 1,))
        return VolumeSpan((first, last), (first, last))
    if last < first:
        return VolumeSpan((first, last), (first, last))
    return VolumeSpan((first,), (last,)) if last - first < WIDEST else None


def _parts_after_comma(text: str, spans: list[VolumeSpan]) -> tuple[VolumeSpan, ...]:
    """Read "2,1" as part 1 of volume 2, for nobody counts down in a list."""
    if len(spans) == 2 and re.match(r"\d+,\d", text) and spans[1].first <= spans[0].first:
        both = (*spans[0].first, *spans[1].first)
        return (VolumeSpan(both, both),) if len(both) == 2 else tuple(spans)
    return tuple(spans)
