"""The ranges of parts as they are written, one by one: pieces with their captions, in order."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor

from intake.runs.captions import GLYPHS, LEVELS, NUMBER, YEAR
from intake.runs.parts import Parts, RunKey, part_order
from intake.runs.spans import END, difference, spans_of


@dataclass(frozen=True, slots=True)
class WrittenPiece:
    """A range as it is written, with its run, its first and last part, and the caption of the run."""

    key: RunKey
    first: Fraction
    last: Fraction
    text: str
    caption: str = ""


def write_pieces(parts: Parts, main: str = "") -> list[WrittenPiece]:
    """Write the ranges of one serial in the order of its parts.

    Args:
        parts: of one serial.
        main: the caption of the plain numbers, where they have one.
    """
    pieces = sorted((piece for key in parts.runs() for piece in _pieces(key, parts)), key=_piece_order)
    return [replace(piece, caption=_caption_text(piece.key) if piece.key else main) for piece in pieces]


def _piece_order(piece: WrittenPiece) -> tuple[object, ...]:
    return part_order(piece.key, piece.first)


def _pieces(key: RunKey, parts: Parts) -> Iterator[WrittenPiece]:
    """Yield the ranges of a run, cut where an inserted part or a double number stands, and these; in no order."""
    inserted = sorted(parts.inserted.get(key, ()))
    pieces = parts.combined.get(key, ())
    for first, last in difference(parts.spans.get(key, ()), spans_of(pieces)):
        start = first
        for whole in sorted({floor(number) for number in inserted if first <= number < last}):
            yield _span_piece(key, start, whole)
            start = whole + 1
        yield _span_piece(key, start, last)
    for first, last in pieces:
        yield WrittenPiece(key, Fraction(first), Fraction(last), f"{first}/{last}")
    for number in inserted:
        yield WrittenPiece(key, number, number, write_number(number))


def _span_piece(key: RunKey, first: int, last: int) -> WrittenPiece:
    end = "" if last == END else str(last)
    text = f"{first}-{end}" if last > first else str(first)
    return WrittenPiece(key, Fraction(first), Fraction(last), text)


def _caption_text(key: RunKey) -> str:
    if not key:
        return ""
    if len(key) == 1:
        return f"{key[0]}." if key[0] in LEVELS else f"{key[0]} "
    outer = str(key[1]) if key[0] == YEAR else f"{key[0]}.{key[1]}"
    return f"{outer}:{NUMBER}."


def write_number(number: Fraction) -> str:
    """Write the number of a part.

    >>> write_number(Fraction("12.5")), write_number(Fraction("12.1")), write_number(Fraction(85, 7))
    ('12½', '12.1', '12 1/7')
    """
    whole, rest = divmod(number, 1)
    if not rest:
        return str(whole)
    if glyph := GLYPHS.get(str(rest)):
        return f"{whole}{glyph}"
    decimals = rest * 1_000_000
    if decimals.denominator == 1:
        return f"{whole}.{int(decimals):06d}".rstrip("0")
    return f"{whole} {rest.numerator}/{rest.denominator}"
