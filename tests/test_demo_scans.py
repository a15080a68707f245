"""The demo's files against the standards they follow and against each other.

Check digits: ISO 2108 (ISBN), ISO 3297 (ISSN), GS1 General Specifications 7.9 (EAN), all by python-stdnum. That the
numbers are invented: no registrant range is known for them to python-stdnum or to isbnlib, and the articles carry a
prefix that GS1 keeps for restricted circulation (section 1.4.2). The masses: paper arithmetic, common practice.
"""

import csv
import subprocess
import sys
import tomllib
from collections import Counter
from datetime import date
from decimal import Decimal
from pathlib import Path

import isbnlib
import numpy as np
import pytest
from PIL import Image, ImageOps
from stdnum import ean, isbn, issn

from intake.model.editions import Grade
from intake.model.valuations import Basis
from intake.shelving.boards import board_of

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "demo_scans"
PHOTOGRAPHS = DEMO / "photographs"
PICTURES = sorted(
    p for p in PHOTOGRAPHS.glob("*/*") if p.suffix in {".jpg", ".png", ".webp"} and p.parent.name != "opened"
)
"""One book each; the picture of an opened box is made of them (`demo_scans/make_box_picture.py`)."""
PICTURE_NAMES = [p.relative_to(PHOTOGRAPHS).as_posix() for p in PICTURES]
OPENED = ("1", "2", "3")

Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (DEMO / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def thirteen(number: str) -> str:
    return isbn.to_isbn13(number).replace("-", "") if isbn.isbn_type(number) == "ISBN10" else number


CATALOG = rows("catalog.csv")
EDITIONS = {row["key"]: row for row in CATALOG}
COPIES = rows("copies.csv")
BOXES = rows("boxes.csv")
NUMBERED = [row for row in CATALOG if row["number"]]


def symbols(picture: Path) -> list[tuple[str, str]]:
    """The numbers and add-ons in a picture, as the file beside it says."""
    lines = picture.with_suffix(".txt").read_text(encoding="utf-8").splitlines()
    return [(number, add_on) for number, _, add_on in (line.partition(" ") for line in lines)]


def typed(box: str) -> list[str]:
    return (PHOTOGRAPHS / f"box-{box}" / "typed.txt").read_text(encoding="utf-8").splitlines()


def seen_in(box: str) -> list[tuple[str, str]]:
    """Number and issue of every book photographed in a box, each once; a price is no part of what it is."""
    found = [s for p in PICTURES if p.parent.name == f"box-{box}" for s in symbols(p)]
    return list(dict.fromkeys((number, add_on if number.startswith(("977", "0")) else "") for number, add_on in found))


def identity(key: str) -> tuple[str, str]:
    return thirteen(EDITIONS[key]["number"]), EDITIONS[key]["add_on"]


@pytest.mark.parametrize(
    "name",
    [
        "catalog.csv",
        "printings.csv",
        "copies.csv",
        "boxes.csv",
        "arrivals.csv",
        "consignment.csv",
        "rates.csv",
        "shelves.csv",
    ],
)
def test_tables_are_utf8_with_crlf_lines_and_no_ragged_row(name: str) -> None:
    # RFC 4180, section 2: lines end with CRLF, each has the same number of fields.
    raw = (DEMO / name).read_bytes()
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert all(None not in row and None not in row.values() for row in rows(name))


@pytest.mark.parametrize("row", NUMBERED, ids=[row["key"] for row in NUMBERED])
def test_every_number_has_its_check_digit(row: Row) -> None:
    number = row["number"]
    kind = isbn.isbn_type(number)
    if kind == "ISBN10":
        assert isbn.is_valid(number)
        assert isbnlib.is_isbn10(number.replace("-", ""))
        assert number.count("-") == 3
    else:
        assert len(number) == 13
        assert ean.is_valid(number)
        assert (kind == "ISBN13") == number.startswith(("978", "979"))


@pytest.mark.parametrize("row", NUMBERED, ids=[row["key"] for row in NUMBERED])
def test_no_number_can_be_a_real_one(row: Row) -> None:
    number = thirteen(row["number"])
    if isbn.is_valid(number):
        group, publisher = isbn.split(number)[1:3]
        assert publisher == ""
        assert group in {"", "99998", "99999"}
        assert isbnlib.mask(number) == ""
        assert isbnlib.info(number) == ""
    elif number.startswith("977"):
        # The check digit of an ISSN: ISO 3297. No ISSN with a first digit of 9 was known when this was written
        # (from memory: those in use begin with 0 to 3, and a block with 8).
        assert issn.is_valid(number[3:10] + issn.calc_check_digit(number[3:10]))
        assert number[3] == "9"
    else:
        assert number.startswith(("02", "04", "2"))  # GS1: restricted circulation


def test_keys_are_unique_and_used() -> None:
    assert len(EDITIONS) == len(CATALOG)
    assert 55 <= len(CATALOG) <= 75
    assert {row["key"] for row in COPIES} <= set(EDITIONS)
    assert {row["key"] for row in rows("printings.csv")} <= set(EDITIONS)
    printings = {(row["key"], row["printing"]) for row in rows("printings.csv")}
    assert {(c["key"], c["printing"]) for c in COPIES if c["printing"]} <= printings


def test_one_number_was_given_to_two_editions_by_mistake() -> None:
    counts = Counter(identity(row["key"]) for row in NUMBERED)
    shared = [number for number, count in counts.items() if count > 1]
    assert len(shared) == 1
    assert {row["key"] for row in NUMBERED if identity(row["key"]) == shared[0]} == {"LOW", "SDR"}


def test_periodicals_have_add_ons_and_two_titles() -> None:
    issues = [row for row in CATALOG if row["subject"] == "Periodicals"]
    assert all(row["number"].startswith("977") and len(row["add_on"]) == 2 for row in issues)
    assert len({row["number"] for row in issues}) == 2
    assert len({(row["number"], row["add_on"]) for row in issues}) == len(issues) == 6


def test_sets_are_complete_and_in_order() -> None:
    sets = Counter(row["set"] for row in CATALOG if row["set"])
    assert len(sets) >= 4
    assert all(2 <= count <= 5 for count in sets.values())
    assert all(row["volume"] for row in CATALOG if row["set"])


def test_the_same_title_stands_in_two_editions_twice() -> None:
    titles = Counter(row["title"] for row in CATALOG if not row["set"])
    assert sorted(t for t, n in titles.items() if n == 2) == [
        "A Walker’s Guide to the Tidal Paths",
        "The Fern Gatherer’s Handbook",
    ]


def test_some_books_carry_no_number_and_titles_come_in_many_scripts() -> None:
    assert sum(not row["number"] for row in CATALOG) == 6
    assert {"gre", "rus", "jpn", "heb"} <= {row["language"] for row in CATALOG}


@pytest.mark.parametrize("row", CATALOG, ids=[row["key"] for row in CATALOG])
def test_every_book_has_the_density_of_a_book(row: Row) -> None:
    # Paper is 0.65 to 1.3 g/cm3 (bulk 0.8 to 1.5 cm3/g), board about 0.7; a hardcover has air beside its block.
    volume = float(row["height_mm"]) * float(row["width_mm"]) * float(row["thickness_mm"])
    assert 0.55 <= float(row["mass_g"]) / volume * 1000 <= 1.2


def test_copies_use_the_trade_s_words_and_two_currencies() -> None:
    grades = {grade.value for grade in Grade}
    assert {c["grade"] for c in COPIES} <= grades | {""}
    assert {c["jacket"] for c in COPIES} <= grades | {"", "none"}
    assert {c["wrapped"] for c in COPIES} == {"yes", "no"}
    assert all(not c["grade"] and not c["condition"] for c in COPIES if c["wrapped"] == "yes")
    valued = [c for c in COPIES if c["value"]]
    assert 30 <= len(valued) < len(COPIES)
    assert all(Decimal(c["value"]) > 0 and date.fromisoformat(c["valued_on"]) for c in valued)
    assert {c["currency"] for c in valued} == {"EUR", "USD"}
    assert {c["basis"] for c in valued} == {b.value for b in Basis}


@pytest.mark.parametrize("box", BOXES, ids=[box["box"] for box in BOXES])
def test_a_box_weighs_what_is_in_it(box: Row) -> None:
    # What is over is packing paper: between nothing and 0.6 kg, weighed to 50 g.
    listed = [c for c in COPIES if c["box"] == box["box"]]
    contents = sum(int(EDITIONS[c["key"]]["mass_g"]) for c in listed)
    assert 0 <= int(box["gross_g"]) - int(box["tare_g"]) - contents <= 600
    assert {c["room"] for c in listed} == {box["room"]}
    room = float(box["length_mm"]) * float(box["width_mm"]) * float(box["height_mm"])
    books = [EDITIONS[c["key"]] for c in listed]
    assert sum(float(b["height_mm"]) * float(b["width_mm"]) * float(b["thickness_mm"]) for b in books) < 0.75 * room


def test_a_box_that_was_weighed_on_arrival_weighs_what_came_in_it() -> None:
    # What nobody knows the mass of, a book that no list has, is left out of the sum: box 3 may weigh up to 2 kg more.
    packed = {box["box"]: int(box["gross_g"]) for box in BOXES}
    mass = {key: int(row["mass_g"]) for key, row in EDITIONS.items()}
    moved = {"2": mass["ZLS"], "3": mass["OLD"] - mass["FAC"] - mass["TGC"], "5": -mass["ZLS"]}
    arrivals = {row["box"]: row for row in rows("arrivals.csv")}
    assert set(arrivals) == set(packed)
    assert {box for box, row in arrivals.items() if row["gross_g"]} == set(moved)
    for box, difference in moved.items():
        off = int(arrivals[box]["gross_g"]) - packed[box] - difference
        assert -100 <= off <= (2000 if box == "3" else 100)


def test_two_boxes_are_heavy() -> None:
    assert [box["box"] for box in BOXES] == ["1", "2", "3", "4", "5", "6"]
    assert sum(int(box["gross_g"]) > 25_000 for box in BOXES) == 2  # HSE L23: 25 kg, the guideline at its best


def test_every_subject_has_a_shelf_that_its_books_fit() -> None:
    shelves = rows("shelves.csv")
    assert len({(s["room"], s["bookcase"]) for s in shelves}) == 3
    for row in CATALOG:
        homes = [s for s in shelves if s["subject"] == row["subject"]]
        assert any(float(s["height_mm"]) > float(row["height_mm"]) for s in homes), row["key"]


def test_there_are_forty_pictures_and_each_has_its_text() -> None:
    assert len(PICTURES) == 42
    assert {p.suffix for p in PICTURES} == {".jpg", ".png", ".webp"}
    assert all(p.with_suffix(".txt").is_file() for p in PICTURES)


@pytest.mark.parametrize("picture", PICTURES, ids=PICTURE_NAMES)
def test_a_picture_opens_and_the_numbers_beside_it_are_valid(picture: Path) -> None:
    with Image.open(picture) as image:
        image.load()
        assert min(image.size) >= 600
    for number, add_on in symbols(picture):
        assert len(number) == 13
        assert ean.is_valid(number)
        assert len(add_on) in {0, 2, 5}
        assert len(add_on) == 2 or not number.startswith("977")


def test_the_pictures_differ_as_the_readme_says() -> None:
    sizes: Counter[tuple[int, int]] = Counter()
    orientations = []
    for picture in PICTURES:
        with Image.open(picture) as image:
            sizes[image.size] += 1
            orientations.append(image.getexif().get(0x0112, 1))
    assert sizes[(4032, 3024)] == 1
    assert sizes[(1280, 960)] >= 25
    assert orientations.count(6) == 1


def test_the_folder_is_small_enough_to_ship() -> None:
    files = [p for p in DEMO.rglob("*") if p.is_file() and "__pycache__" not in p.parts]
    assert sum(p.stat().st_size for p in files) <= 6_000_000
    assert max(p.stat().st_size for p in files) < 900_000


def test_the_readme_names_every_file() -> None:
    readme = (DEMO / "README.md").read_text(encoding="utf-8")
    tables = [p.name for p in DEMO.glob("*.*") if p.name != "README.md"]
    assert [
        name for name in (*tables, *PICTURE_NAMES, "typed.txt", "blurbs.toml", "shots.toml") if name not in readme
    ] == []


def test_the_readme_says_of_each_picture_what_the_shot_list_says() -> None:
    readme = (DEMO / "README.md").read_text(encoding="utf-8")
    shots = tomllib.loads((PHOTOGRAPHS / "shots.toml").read_text(encoding="utf-8"))["shot"]
    assert sorted(shot["file"] for shot in shots) == PICTURE_NAMES
    assert [shot["file"] for shot in shots if f"| {shot['shows']} |" not in readme] == []


def test_the_boxes_hold_the_surprises_of_a_real_move() -> None:
    listed = {box: [c["key"] for c in COPIES if c["box"] == box] for box in OPENED}
    known = {identity(row["key"]): row["key"] for row in NUMBERED}
    found = {box: [known.get(number) for number in seen_in(box)] for box in OPENED}
    # LOW and SDR share a number, so either key may stand for it.
    strange = {(box, key) for box in OPENED for key in found[box] if key not in {*listed[box], "LOW", "SDR"}}
    assert strange == {("1", "WTP-B"), ("2", "ZLS"), ("3", "OLD"), ("3", None)}
    elsewhere = {c["key"]: c["box"] for c in COPIES}
    assert "WTP-B" not in elsewhere
    assert elsewhere["ZLS"] == "5"
    by_hand = {"COM", "VHE", "FNK-1", "FNK-2", "HUV", "PAL"}
    missing = {
        (box, k) for box in OPENED for k in listed[box] if k not in found[box] and k not in by_hand | {"LOW", "SDR"}
    }
    assert missing == {("1", "APT"), ("3", "FAC"), ("3", "TGC")}


def test_the_typed_lines_are_words_or_isbns_and_one_has_a_wrong_digit() -> None:
    lines = [line for box in OPENED for line in typed(box)]
    numbers = [line for line in lines if not any(c.isalpha() and c != "X" for c in line)]
    assert len(lines) == 5
    assert [isbn.is_valid(n) for n in numbers].count(False) == 1
    right, wrong = sorted(numbers, key=isbn.is_valid, reverse=True)
    assert right == EDITIONS["FNK-1"]["number"]
    true = EDITIONS["FNK-2"]["number"]
    assert sum(a != b for a, b in zip(wrong, true, strict=True)) == 1


@pytest.mark.slow
def test_a_picture_can_be_made_again(tmp_path: Path) -> None:
    # Other releases of the imaging libraries round differently, so a difference of a few grey values is allowed.
    pytest.importorskip("zint", reason="zint-bindings draws the symbols")
    names = ["box-1/03.jpg", "box-3/06.jpg"]
    script = [sys.executable, "-B", str(DEMO / "make_photographs.py"), "--out", str(tmp_path), *names]
    subprocess.run(script, check=True, capture_output=True)
    for name in names:
        kept, made = (
            np.asarray(ImageOps.exif_transpose(Image.open(folder / name)).convert("L"), dtype=float)
            for folder in (PHOTOGRAPHS, tmp_path)
        )
        assert kept.shape == made.shape
        assert np.abs(kept - made).mean() < 3
        text = Path(name).with_suffix(".txt")
        assert (PHOTOGRAPHS / text).read_bytes() == (tmp_path / text).read_bytes()


def test_shelves_stand_above_each_other_and_their_boards_are_of_a_listed_wood() -> None:
    below: dict[str, float] = {}
    for row in reversed(rows("shelves.csv")):
        above_floor = float(row["above_floor_mm"])
        assert above_floor == below.get(row["bookcase"], above_floor)
        below[row["bookcase"]] = above_floor + float(row["height_mm"]) + float(row["board_mm"])
        assert board_of(row["material"]) is not None
        assert float(row["bookcase_width_mm"]) > float(row["width_mm"])
        assert float(row["bookcase_depth_mm"]) >= float(row["depth_mm"])
