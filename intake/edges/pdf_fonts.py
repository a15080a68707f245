"""Fonts in a PDF file: the glyphs that its lines use, and the letters that each stands for.

ISO 32000-1, 9.7: a composite font with two bytes a glyph. The code of a glyph is its number in the font where it stands
for the letter that the font itself gives it; a glyph that also stands for something else (a ligature, a no-break space
drawn as a space) has further codes, so that what is copied or searched is the text as it was written. Where no list of
glyphs can tell the text, because letters are reordered, it stands beside them (14.9.4, ActualText). Text from right to
left never has that: what reads a file turns such text round by itself, and would turn it twice.
"""

import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache

import uharfbuzz as hb

from intake.edges.font_files import LoadedFont
from intake.edges.fonts import Glyph, ShapedPart
from intake.edges.pdf_writer import Name, PdfWriter, Ref, Value

DROPPED = ("GSUB", "GPOS", "GDEF", "DSIG", "BASE", "STAT", "JSTF", "kern", "meta")
"""Tables for shaping, which is done."""
TO_UNICODE = """/CIDInit /ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def
/CMapName /Adobe-Identity-UCS def
/CMapType 2 def
1 begincodespacerange
<0000> <FFFF>
endcodespacerange
{blocks}
endcmap
CMapName currentdict /CMap defineresource pop
end
end
"""
BLOCK = 100
"""The most entries of one list of a character map (Adobe Technical Note 5014)."""


@dataclass(frozen=True, slots=True)
class ShownPart:
    """How a part of a line is written, the same in every file.

    Attributes:
        pieces: what stands between the brackets of a TJ operator; a glyph whose code is the file's; a rise in
            thousandths of the type size.
        plain: the only piece, where there is but one and it is the same in every file; None elsewhere.
    """

    pieces: tuple["str | Glyph | float", ...]
    plain: str | None


class Letters:
    """The letter that a font itself gives each glyph, and how wide it is in thousandths of the type size."""

    def __init__(self, loaded: LoadedFont) -> None:
        self.loaded = loaded

    @cached_property
    def own(self) -> dict[int, str]:
        """Return the letter of each glyph that has one; the first by its code, where it has several."""
        found: dict[int, str] = {}
        for code in sorted(self.loaded.letters):
            found.setdefault(self.loaded.font.get_nominal_glyph(code), chr(code))
        return found

    def stands_for_own(self, glyph: Glyph) -> bool:
        """Return whether a glyph stands for the letter that the font gives it."""
        return self.own.get(glyph.number) == glyph.text

    @lru_cache(maxsize=65536)  # noqa: B019 - one for each font, which is never dropped
    def width(self, number: int) -> float:
        """Return how far the next glyph is, where nothing moves it."""
        return float(self.loaded.font.get_glyph_h_advance(number)) * 1000.0 / self.loaded.per_em


@lru_cache(maxsize=64)
def letters_of(font: LoadedFont) -> Letters:
    """Return what a font says of its glyphs."""
    return Letters(font)


@lru_cache(maxsize=8192)
def show(part: ShapedPart) -> ShownPart:
    """Return how a part of a line is written."""
    letters = letters_of(part.font)
    pieces: list[str | Glyph | float] = []
    plain = ""
    move = rise = 0.0
    for glyph in part.glyphs:
        if glyph.dy != rise:
            pieces += [plain, glyph.dy] if plain else [glyph.dy]
            plain, rise = "", glyph.dy
        move -= glyph.dx
        if abs(move) > 0.05:
            plain += f" {move:.1f} "
        if letters.stands_for_own(glyph):
            plain += f"<{glyph.number:04x}>"
        else:
            pieces += [plain, glyph] if plain else [glyph]
            plain = ""
        move = letters.width(glyph.number) - glyph.advance + glyph.dx
    if abs(move) > 0.05:
        plain += f" {move:.1f} "
    pieces += [plain] if plain else []
    pieces += [0.0] if rise else []
    joined = tuple(piece.replace("><", "") if isinstance(piece, str) else piece for piece in pieces)
    first = joined[0] if len(joined) == 1 else None
    return ShownPart(joined, first if isinstance(first, str) else None)


class FileFont:
    """One font of one file, with the codes that the file uses."""

    def __init__(self, font: LoadedFont, name: str) -> None:
        self.font = font
        self.name = name
        self.letters = letters_of(font)
        self.parts: set[ShapedPart] = set()
        self.extra: dict[tuple[int, str], int] = {}

    def operators(self, parts: Iterable[ShapedPart], size_pt: float) -> Iterator[str]:
        """Yield the operators that show parts of a line one after the other in this font."""
        parts = list(parts)
        self.parts.update(parts)
        shown = [show(part).plain for part in parts]
        if None not in shown:
            yield f"[{''.join(filter(None, shown))}] TJ"
            return
        line: list[str] = []
        for part in parts:
            for piece in show(part).pieces:
                if isinstance(piece, str):
                    line.append(piece)
                elif isinstance(piece, float):
                    yield from (f"[{''.join(line)}] TJ",) if line else ()
                    line = []
                    yield f"{piece * size_pt / 1000.0:.3f} Ts"
                else:
                    line.append(f"<{self._code(piece):04x}>")
        yield from (f"[{''.join(line)}] TJ",) if line else ()

    def _code(self, glyph: Glyph) -> int:
        """Return the code of a glyph that stands for something else than its own letter."""
        key = (glyph.number, glyph.text)
        if key not in self.extra:
            self.extra[key] = self.font.face.glyph_count + len(self.extra)
        return self.extra[key]

    def embed(self, file: PdfWriter) -> Ref:
        """Write the font, of which only the glyphs that are used, into a file."""
        loaded, letters = self.font, self.letters
        glyphs = {glyph for part in self.parts for glyph in part.glyphs}
        used = {glyph.number for glyph in glyphs if letters.stands_for_own(glyph)}
        codes = {number: (number, letters.own[number]) for number in used}
        codes |= {code: (number, text) for (number, text), code in self.extra.items()}
        numbers = {number for number, _ in codes.values()}
        tag = _tag(loaded.name, numbers)
        name = Name(f"{tag}+{loaded.name}")
        em = 1000.0 / loaded.per_em
        extents = loaded.font.get_font_extents("ltr")
        data = _subset(loaded, numbers)
        descriptor: dict[str, Value] = {
            "Type": Name("FontDescriptor"), "FontName": name, "Flags": 4, "FontBBox": [-1000, -500, 2000, 1500],
            "ItalicAngle": 0, "Ascent": round(extents.ascender * em), "Descent": round(extents.descender * em),
            "CapHeight": 700, "StemV": 80, "FontFile2": file.stream(data, {"Length1": len(data)}),
        }  # fmt: skip
        to_glyph = bytearray(2 * (max(codes, default=0) + 1))
        for code, (number, _) in codes.items():
            to_glyph[2 * code : 2 * code + 2] = number.to_bytes(2, "big")
        widths = [entry for code in sorted(codes) for entry in (code, [round(letters.width(codes[code][0]), 1)])]
        descendant: dict[str, Value] = {
            "Type": Name("Font"), "Subtype": Name("CIDFontType2"), "BaseFont": name,
            "CIDSystemInfo": {"Registry": "Adobe", "Ordering": "Identity", "Supplement": 0},
            "FontDescriptor": file.write(descriptor), "DW": 1000, "W": widths,
            "CIDToGIDMap": file.stream(bytes(to_glyph), {}),
        }  # fmt: skip
        to_unicode = _to_unicode({code: text for code, (_, text) in codes.items()})
        font: dict[str, Value] = {
            "Type": Name("Font"), "Subtype": Name("Type0"), "BaseFont": name, "Encoding": Name("Identity-H"),
            "DescendantFonts": [file.write(descendant)], "ToUnicode": file.stream(to_unicode, {}),
        }  # fmt: skip
        return file.write(font)


def _subset(loaded: LoadedFont, numbers: Iterable[int]) -> bytes:
    """Return a font file with some of the glyphs, each at its number, in the weight that is set."""
    chosen = hb.SubsetInput()
    chosen.flags = hb.SubsetFlags.RETAIN_GIDS | hb.SubsetFlags.NO_HINTING | hb.SubsetFlags.NOTDEF_OUTLINE
    chosen.sets(hb.SubsetInputSets.GLYPH_INDEX).update(numbers)
    chosen.sets(hb.SubsetInputSets.DROP_TABLE_TAG).update(
        int.from_bytes(tag.encode().ljust(4), "big") for tag in DROPPED
    )
    if loaded.weight is not None:
        chosen.pin_all_axes_to_default(loaded.face)
        chosen.pin_axis_location(loaded.face, "wght", loaded.weight)
    return bytes(hb.subset(loaded.face, chosen).blob.data)


def _tag(name: str, numbers: set[int]) -> str:
    """Return six letters for a font of which only some glyphs are embedded (9.6.4), the same for the same glyphs."""
    left = zlib.crc32(repr((name, sorted(numbers))).encode())
    return "".join(chr(ord("A") + left // 26**n % 26) for n in range(6))


def _to_unicode(texts: dict[int, str]) -> bytes:
    entries = [f"<{code:04x}> <{text.encode('utf-16-be').hex()}>" for code, text in sorted(texts.items()) if text]
    blocks = [entries[n : n + BLOCK] for n in range(0, len(entries), BLOCK)]
    lists = [f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks]
    return TO_UNICODE.format(blocks="\n".join(lists)).encode()
