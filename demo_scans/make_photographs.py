"""Make the photographs of the demo: `python demo_scans/make_photographs.py [--out FOLDER] [PICTURE …]`.

Reads `catalog.csv` (what is printed on the books), `photographs/blurbs.toml` (their texts) and `photographs/shots.toml`
(how each picture was taken), draws every picture, and writes beside it the numbers that are in it. Each picture has a
seed of its own, its name, so one can be made again alone; the same libraries make the same picture. Needs
zint-bindings.
"""

import argparse
import csv
import tomllib
import zlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from photograph_camera import Camera, Lying, draw_book, draw_table
from photograph_covers import Book, symbol_box
from photograph_light import blur, develop, light, thumb, wrap
from photograph_symbols import NOMINAL_X_MM
from PIL import Image
from stdnum import isbn

HERE = Path(__file__).resolve().parent
OVERSAMPLED_PX = 2000
"""A picture narrower than this is drawn at twice its size and reduced."""

Row = dict[str, str]
Shot = dict[str, Any]


def load() -> tuple[dict[str, Row], dict[str, Any], list[Shot]]:
    """Return the editions by key (and the books no catalog knows), the cover texts and the shots."""
    with (HERE / "catalog.csv").open(encoding="utf-8", newline="") as file:
        editions = {row["key"]: row for row in csv.DictReader(file)}
    blurbs = tomllib.loads((HERE / "photographs" / "blurbs.toml").read_text(encoding="utf-8"))
    shots = tomllib.loads((HERE / "photographs" / "shots.toml").read_text(encoding="utf-8"))
    editions |= {row["key"]: row for row in shots["stranger"]}
    return editions, blurbs, shots["shot"]


def printed_number(written: str) -> tuple[str, str]:
    """Return the 13 digits of a catalog's number, and the text over the bars where it is an ISBN."""
    if not written.replace("-", "").isdigit() or "-" in written:
        return (isbn.to_isbn13(written).replace("-", ""), written) if written else ("", "")
    if written.startswith(("978", "979")):
        return written, f"{written[:3]}-{written[3:7]}-{written[7:12]}-{written[12]}"
    return written, ""


def book_of(row: Row, blurbs: dict[str, Any], spec: dict[str, Any]) -> Book:
    """Return the book of a catalog row as this picture shows it."""
    number, printed = printed_number(row["number"])
    language, subject = row["language"], row["subject"]
    return Book(
        key=row["key"],
        number=number,
        printed=printed,
        add_on=spec.get("price", row["add_on"]),
        title=row["title"],
        contributors=row["contributors"].replace("; ", " · "),
        publisher=row["publisher"],
        language=language,
        subject=subject,
        text=blurbs["eng"][subject] if language == "eng" else blurbs["other"][language],
        soft=row["binding"] == "softcover",
        width_mm=float(row["width_mm"]),
        height_mm=float(row["height_mm"]),
        thickness_mm=float(row["thickness_mm"]),
        **{
            name: spec[name]
            for name in ("magnification", "cut", "corner", "tinted", "front", "crushed")
            if name in spec
        },
    )


def lay(shot: Shot, editions: dict[str, Row], blurbs: dict[str, Any]) -> list[Lying]:
    """Return the books of a shot where they lie."""
    return [
        Lying(
            book=book_of(editions[spec["key"]], blurbs, spec),
            at=tuple(spec.get("at", (0, 0))),
            turn=spec.get("turn", 0),
            base=spec.get("base", 0),
            curve=spec.get("curve", 0),
        )
        for spec in shot.get("books", [])
    ]


def symbol_middle(lying: Lying) -> NDArray[np.float64]:
    """Return the middle of a book's symbol, or of its cover where it has none, in mm of the world."""
    book = lying.book
    if not book.number or book.front:
        return lying.on_cover(book.width_mm / 2, book.height_mm / 2)
    left, top, right, bottom = symbol_box(book)
    return lying.on_cover((left + right) / 2, (top + bottom) / 2)


def camera_of(shot: Shot, books: Sequence[Lying], zoom: int) -> Camera:
    """Return the camera of a shot; it looks `look` mm beside the symbol of the first book."""
    look = shot.get("look", (0, 0))
    middle = symbol_middle(books[0]) if books else np.zeros(3)
    width, height = shot.get("size", (1280, 960))
    return Camera(
        target=(float(middle[0] + look[0]), float(middle[1] + look[1]), float(middle[2])),
        field_mm=shot.get("field", 178),
        tilt=shot.get("tilt", 8),
        turn=shot.get("turn", 0),
        roll=shot.get("roll", 0),
        width=width * zoom,
        height=height * zoom,
    )


def cover_up(canvas: NDArray[np.float64], shot: Shot, books: Sequence[Lying], camera: Camera) -> None:
    """Put the shrink wrap and the thumb of a shot over what is drawn."""
    rng = np.random.default_rng(zlib.crc32(("wrap " + shot["file"]).encode()))
    for lying in books:
        if shot.get("wrap"):
            book = lying.book
            ends = ((0, 0), (book.width_mm, 0), (book.width_mm, book.height_mm), (0, book.height_mm))
            wrap(canvas, camera.project(np.array([lying.on_cover(x, y) for x, y in ends])), shot["wrap"], rng)
    if shot.get("thumb"):
        scale = camera.width / camera.field_mm
        x, y = camera.project(symbol_middle(books[0])[None])[0]
        tip = (float(x - 5 * scale), float(y - 13 * scale))
        thumb(canvas, tip, (tip[0] + 34 * scale, tip[1] + 66 * scale), 11 * scale)


def take(shot: Shot, books: Sequence[Lying]) -> NDArray[np.uint8]:
    """Return the picture of a shot, upright."""
    rng = np.random.default_rng(zlib.crc32(shot["file"].encode()))
    zoom = 2 if shot.get("size", (1280, 960))[0] < OVERSAMPLED_PX else 1
    camera = camera_of(shot, books, zoom)
    canvas = draw_table(camera, shot.get("table", "oak"), rng)
    for lying in books:
        draw_book(canvas, camera, lying, rng)
    cover_up(canvas, shot, books, camera)
    canvas = cv2.resize(canvas, (camera.width // zoom, camera.height // zoom), None, 0, 0, cv2.INTER_AREA).astype(float)
    module = NOMINAL_X_MM * (books[0].book.magnification if books else 1) * camera.width / zoom / camera.field_mm
    slope, falloff = tuple(shot.get("slope", (0.06, -0.05))), shot.get("falloff", 0.13)
    canvas = light(canvas, shot.get("gain", 1.0), slope, shot.get("warmth", 0.4), falloff)
    canvas = blur(canvas, max(shot.get("defocus", 0.22) * module, 0.45), *shot.get("motion", (0, 0)))
    return develop(canvas, shot.get("noise", 1.8), rng)


def save(picture: NDArray[np.uint8], path: Path, shot: Shot) -> None:
    """Save a picture in the format that its name asks for."""
    image = Image.fromarray(picture)
    quality = shot.get("quality", 78)
    if path.suffix == ".png":
        image.convert("L").quantize(48, dither=Image.Dither.NONE).save(path, optimize=True)
    elif path.suffix == ".webp":
        image.save(path, quality=quality, method=6)
    elif shot.get("orientation") == 6:
        exif = Image.Exif()
        exif[0x0112] = 6  # EXIF 2.32, tag Orientation: turn the stored picture by 90 degrees clockwise
        image.transpose(Image.Transpose.ROTATE_90).save(path, quality=quality, optimize=True, exif=exif)
    else:
        image.save(path, quality=quality, optimize=True)


def truth(shot: Shot, books: Sequence[Lying]) -> str:
    """Return one line for each symbol that is in the picture and can be read."""
    shown = [x.book for x in books if x.book.number and not x.book.front and not shot.get("unreadable")]
    return "".join(f"{book.number} {book.add_on}".rstrip() + "\n" for book in shown)


def main() -> None:
    """Make all pictures, or those that are named."""
    parser = argparse.ArgumentParser(description="Make the photographs of the demo.")
    parser.add_argument("--out", type=Path, default=HERE / "photographs", help="folder to write to")
    parser.add_argument("pictures", nargs="*", help="pictures to make, as box-1/01.jpg; all if none is named")
    arguments = parser.parse_args()
    editions, blurbs, shots = load()
    for shot in shots:
        if arguments.pictures and shot["file"] not in arguments.pictures:
            continue
        books = lay(shot, editions, blurbs)
        path = arguments.out / shot["file"]
        path.parent.mkdir(parents=True, exist_ok=True)
        save(take(shot, books), path, shot)
        path.with_suffix(".txt").write_text(truth(shot, books), encoding="utf-8")
        print(path.name, path.stat().st_size // 1024, "kB")


if __name__ == "__main__":
    main()
