"""Valid inputs of every kind, and mutations of them: bits, bytes, lengths, what is inside of a container, odd texts."""

import io
import random
import zipfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import zxingcpp
from PIL import Image

from tests.benchmarks.import_tables import WRITERS
from tests.faults.libraries import command
from tests.faults.station import isbn, number_of

HEIC = Path(__file__).parents[1] / "edges" / "data"
ROWS = 12
ODD_BYTES = (0, 255, 127, 128, 1)
ODD_WORDS = (b"\xff\xff\xff\xff", b"\0\0\0\0", b"\x7f\xff\xff\xff", b"\x80\0\0\0", b"\0\0\0\x01")
ODD_TEXTS = (
    "", " ", "\0", "\u202e", "\ud800", "\U0001f469\u200d\U0001f4da", "é" * 300, "9" * 5000, "%s%n", "../../x",
    "'; DROP TABLE copy;--", "<b>", "=1+1", "\x1b[31m", "\ufeff", "١٢٣", "９７８", "NaN", "1e999", "-0",
    "a\u0301" * 50, "\u2028", "null",
)  # fmt: skip


def mutate(data: bytes, chance: random.Random) -> bytes:
    """Return bytes that differ from these in a few places, more often near the beginning, where headers are."""
    mutated = bytearray(data)
    for _ in range(chance.choice((1, 1, 1, 2, 4, 16, 64))):
        if not mutated:
            mutated += b"x"
        at = chance.randrange(min(len(mutated), chance.choice((64, 512, len(mutated)))))
        match chance.randrange(8):
            case 0:
                del mutated[at : at + chance.randrange(1, 40)]
            case 1:
                mutated[at:at] = chance.randbytes(chance.randrange(1, 20))
            case 2:
                mutated[at : at + 4] = chance.choice(ODD_WORDS)
            case 3:
                mutated[at] ^= 1 << chance.randrange(8)
            case 4 if chance.random() < 0.3:
                del mutated[at:]
            case 5:
                part = mutated[at : at + chance.randrange(1, 200)]
                mutated[at:at] = part
            case _:
                mutated[at] = chance.choice((*ODD_BYTES, chance.randrange(256)))
    return bytes(mutated)


def mutate_container(data: bytes, chance: random.Random) -> bytes:
    """Return a zip file with one of its members mutated or gone, or the bytes of the file itself mutated."""
    if chance.random() < 0.3:
        return mutate(data, chance)
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as whole, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        names = whole.namelist()
        chosen = chance.choice(names)
        for name in names:
            content = whole.read(name)
            if name != chosen:
                made.writestr(name, content)
            elif chance.random() < 0.9:
                made.writestr(name, mutate(content, chance))
    return out.getvalue()


def mutate_text(text: str, chance: random.Random) -> str:
    """Return a text as a scanner, a keyboard or a broken cable may send it."""
    characters = list(text)
    for _ in range(chance.choice((1, 1, 2, 5))):
        at = chance.randrange(len(characters) + 1)
        match chance.randrange(4):
            case 0:
                characters[at:at] = chance.choice(ODD_TEXTS)
            case 1:
                del characters[at : at + chance.randrange(1, 5)]
            case 2:
                characters[at:at] = chr(chance.choice((chance.randrange(1, 0x250), chance.randrange(1, 0x110000))))
            case _:
                characters[at : at + 1] = str(chance.randrange(10))
    return "".join(characters)


def pictures() -> Sequence[tuple[str, bytes]]:
    """Return a picture with a symbol in each format, by suffix."""
    symbol = np.asarray(zxingcpp.create_barcode(number_of(1), zxingcpp.BarcodeFormat.EAN13).to_image(scale=2))
    canvas = np.full((160, 260), 255, np.uint8)
    canvas[30 : 30 + symbol.shape[0], 30 : 30 + symbol.shape[1]] = symbol[:120]
    grey = Image.fromarray(canvas)
    forms: list[tuple[str, str, dict[str, object]]] = [
        ("jpg", "L", {}), ("jpg", "RGB", {"progressive": True}), ("jpg", "CMYK", {}), ("png", "L", {}),
        ("png", "P", {}), ("png", "RGBA", {}), ("webp", "RGB", {}), ("webp", "RGB", {"lossless": True}),
        ("gif", "P", {}), ("bmp", "RGB", {}), ("ppm", "RGB", {}), ("tiff", "L", {"compression": "raw"}),
        ("tiff", "RGB", {"compression": "tiff_lzw"}), ("tiff", "1", {"compression": "group4"}),
        ("tiff", "RGB", {"compression": "jpeg"}), ("tiff", "L", {"compression": "tiff_adobe_deflate"}),
        ("tiff", "I;16", {}),
    ]  # fmt: skip
    made: list[tuple[str, bytes]] = []
    for suffix, mode, options in forms:
        out = io.BytesIO()
        name = {"jpg": "JPEG"}.get(suffix, suffix.upper())
        grey.convert(mode).save(out, name, **options)
        made.append((suffix, out.getvalue()))
    heic = [(name.suffix[1:], name.read_bytes()) for name in sorted(HEIC.glob("*.heic"))]
    return [*made, *heic * 3]  # these are the formats with the longest headers


def lists(folder: Path) -> Sequence[tuple[str, bytes]]:
    """Return a list of editions in each form that is imported, by suffix."""
    made = []
    for suffix, write in WRITERS.items():
        write(folder / f"list.{suffix}", ROWS)
        made.append((suffix, (folder / f"list.{suffix}").read_bytes()))
    library, catalog = folder / "for-lists", folder / "catalog.csv"
    rows = "".join(f'{isbn(nth)},Gräser {nth},"Invented, Person {nth}",19{nth:02},{200 + nth}\n' for nth in range(ROWS))
    catalog.write_text(f"isbn,title,contributors,year,pages\n{rows}", encoding="utf-8")
    assert command("--library", library, "import", "editions", catalog) == 0
    for suffix, options in (("mrc", []), ("xml", ["--format", "marcxml"]), ("xml", ["--format", "onix"])):
        path = folder / f"out.{suffix}"
        assert command("--library", library, "export", "editions", path, *options) == 0
        made.append((suffix, path.read_bytes()))
    return [*made, ("csv", catalog.read_bytes())]
