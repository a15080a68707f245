"""A made-up household's lists at any size: editions, printings, places, copies in boxes, boxes, a consignment, rates.

Everything is invented and drawn from one seed, so that a size is always the same library. The numbers are EANs under
979-9, where no group of publishers is registered (International ISBN Agency, from memory). Books are written in the
order of the shelves, so that a box holds neighbours, as it does where shelves were packed one after the other.
"""

import csv
import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice
from pathlib import Path

from stdnum import ean
from stdnum.iso7064 import mod_97_10

SEED = 11
RATE_DAY = date(2026, 1, 15)
"""The day of the rates and of every conversion; no value is later."""
REFERENCE = "INV-26-1"
COPIES_A_BOX = 12
COPIES_A_SHELF = 33
SHELVES_A_BOOKCASE = 6
BOOKCASES_A_ROOM = 20
TARE_G = 900

COLOURS = ("Ashen", "Brown", "Cobalt", "Dun", "Ebon", "Fallow", "Golden", "Hoary", "Ivory", "Jade", "Pale", "Russet")
THINGS = ("Heron", "Orchard", "Basalt", "Loom", "Harbour", "Lichen", "Falcon", "Kiln", "Meadow", "Sedge", "Organ")
FEATURES = ("Marsh", "Moor", "Coast", "Valley", "Quay", "Ridge", "Fen", "Isle", "Forest", "Delta", "Plain", "Firth")
REGIONS = ("Corrovane", "Wexmere", "Thornel", "Osmarra", "Larkmoor", "Skerrivan", "Drauwen", "Vellacroft")
GIVEN = ("Ansgar", "Petra", "Ione", "Matthis", "Sunniva", "Corin", "Tamsel", "Ottoline", "Bram", "Ysolde")
FAMILY_START = ("Wick", "Oul", "Drau", "Vell", "Hark", "Stren", "Quill", "Mor", "Tarn", "Bex", "Ald", "Fen")
FAMILY_END = ("enlow", "de", "wen", "acroft", "iston", "mere", "vale", "by", "hollow", "wick", "gate", "strand")
PUBLISHERS = ("Larkmoss Press", "Tarnhollow House", "Skerrivan Books", "Osmarra Editions", "Fenwick Quay Press")
SUBJECTS = ("Architecture", "Birds", "Costume", "Geology", "Maps", "Music", "Painting", "Textiles")
GRADES = ("As New", "Fine", "Near Fine", "Very Good", "Good")

Row = dict[str, object]


@dataclass(frozen=True, slots=True)
class Lists:
    """The lists of one library, each as rows; `copies` of them, the last twentieth at hand and in no box."""

    editions: list[Row]
    printings: list[Row]
    places: list[Row]
    copies: list[Row]
    boxes: list[Row]


def own_number(letter: str, serial: int) -> str:
    """Write a number as it is printed on a label: letter, serial, check digits by ISO/IEC 7064, MOD 97-10."""
    return f"{letter}{serial}-{mod_97_10.calc_check_digits(f'{serial}{letter}')}"


def book_number(nth: int) -> str:
    """Return the nth number of the unregistered group, with its check digit."""
    body = f"9799{nth:08d}"
    return body + str(ean.calc_check_digit(body))


def editions() -> Iterator[Row]:
    """Yield editions without end, about one in six in a set of four volumes; not yet in any order."""
    rng = random.Random(SEED)
    nth = 0
    while True:
        volumes = 4 if rng.random() < 0.05 else 1
        work = _work(rng, nth)
        for volume in range(1, volumes + 1):
            nth += 1
            in_set = volumes > 1
            yield {
                **work,
                "key": f"E{nth}",
                "number": book_number(nth) if rng.random() < 0.9 else "",
                "title": f"{work['title']}, part {volume}" if in_set else work["title"],
                "set": work["title"] if in_set else "",
                "volume": volume if in_set else "",
                **_body(rng),
            }


def _work(rng: random.Random, nth: int) -> Row:
    title = f"The {rng.choice(COLOURS)} {rng.choice(THINGS)} of the {rng.choice(FEATURES)} of {rng.choice(REGIONS)}"
    people = [
        f"{rng.choice(GIVEN)} {rng.choice(FAMILY_START)}{rng.choice(FAMILY_END)}" for _ in range(rng.randint(1, 2))
    ]
    return {
        "title": f"{title} {nth}",
        "contributors": "; ".join(people),
        "publisher": rng.choice(PUBLISHERS),
        "year": rng.randint(1950, 2025),
        "edition": rng.choice(("", "", "2nd edition, revised")),
        "binding": rng.choice(("hardcover", "hardcover", "paperback")),
        "language": "eng",
        "subject": rng.choice(SUBJECTS),
    }


def _body(rng: random.Random) -> Row:
    """Return size and mass: a book of coated paper weighs about 1.2 g a cubic centimetre less its air (from memory)."""
    height, width, thickness = rng.randint(210, 310), rng.randint(150, 250), rng.randint(14, 36)
    if rng.random() < 0.1:
        return {"pages": thickness * 12, "height_mm": height}
    mass = round(height * width * thickness * 0.00075 * rng.uniform(0.9, 1.1))
    return {
        "pages": thickness * 12,
        "height_mm": height,
        "width_mm": width,
        "thickness_mm": thickness,
        "mass_g": mass,
    }


def lists(size: int) -> Lists:
    """Make the lists of a library with `size` copies."""
    rng = random.Random(SEED + 1)
    catalog = list(islice(editions(), size * 9 // 10))
    catalog.sort(key=lambda row: (str(row["subject"]), str(row["set"] or row["title"]), row["volume"] or 0))
    owned = sorted([*range(len(catalog)), *rng.choices(range(len(catalog)), k=size - len(catalog))])
    printings = list(_printings(rng, catalog))
    at_hand = frozenset(rng.sample(range(size), size // 20))
    order = [nth for nth in range(size) if nth not in at_hand] + sorted(at_hand)
    boxed = size - len(at_hand)
    several = {row["key"] for row in printings}
    copies = [
        _copy(rng, catalog[owned[nth]], box=at // COPIES_A_BOX + 1 if at < boxed else None, several=several)
        for at, nth in enumerate(order)
    ]
    masses = [float(str(catalog[owned[nth]].get("mass_g", 1200))) for nth in order[:boxed]]
    return Lists(catalog, printings, list(_places(size)), copies, list(_boxes(rng, masses)))


def _printings(rng: random.Random, catalog: Sequence[Row]) -> Iterator[Row]:
    """Yield three printings of every fifth edition."""
    for row in catalog[::5]:
        year = rng.randint(1950, 2020)
        for printing in range(1, 4):
            line = " ".join(str(n) for n in range(10, printing - 1, -1))
            yield {"key": row["key"], "printing": printing, "year": year + printing, "number_line": line}


def _copy(rng: random.Random, edition: Row, *, box: int | None, several: set[object]) -> Row:
    row: Row = {
        "box": own_number("B", box) if box else "",
        "room": "Study",
        "key": edition["key"],
        "printing": rng.randint(1, 3) if edition["key"] in several else "",
        "grade": rng.choice(GRADES),
        "jacket": rng.choice((*GRADES, "none")),
        "wrapped": "yes" if rng.random() < 0.3 else "no",
        "condition": "Lower corner bumped" if rng.random() < 0.1 else "",
    }
    if rng.random() < 0.9:
        row |= {
            "value": f"{rng.lognormvariate(4, 0.6):.2f}",
            "currency": rng.choice(("EUR", "USD")),
            "basis": rng.choice(("replacement", "replacement", "market")),
            "valued_on": (RATE_DAY - timedelta(days=rng.randint(0, 2000))).isoformat(),
            "source": "invented",
        }
    return row


def _boxes(rng: random.Random, masses: Sequence[float]) -> Iterator[Row]:
    for nth in range(0, len(masses), COPIES_A_BOX):
        held = sum(masses[nth : nth + COPIES_A_BOX])
        yield {
            "box": own_number("B", nth // COPIES_A_BOX + 1),
            "room": "Study",
            "length_mm": 420,
            "width_mm": 330,
            "height_mm": 310,
            "tare_g": TARE_G,
            "gross_g": round((held * rng.gauss(1, 0.01) + TARE_G) / 50) * 50,
            "seal": f"IN-{nth:06d}",
        }


def _places(size: int) -> Iterator[Row]:
    """Yield shelves for all copies and a tenth more."""
    for nth in range(size * 11 // (COPIES_A_SHELF * 10) + 1):
        case = nth // SHELVES_A_BOOKCASE
        yield {
            "room": f"Room {case // BOOKCASES_A_ROOM + 1}",
            "bookcase": f"Case {case + 1}",
            "shelf": nth % SHELVES_A_BOOKCASE + 1,
            "width_mm": 900,
            "height_mm": 340,
            "depth_mm": 300,
            "above_floor_mm": 1950 - 360 * (nth % SHELVES_A_BOOKCASE),
            "material": "pine",
            "board_mm": 22,
        }


def consignment() -> list[Row]:
    """Return the one consignment that every box travels in."""
    parties = {"consignor": "Ione Vellacroft", "consignee": "Ione Vellacroft", "carrier": "Skerrivan Ocean Removals"}
    return [{"reference": REFERENCE, **parties, "dispatched": "2026-01-20", "boxes": "all"}]


def rates() -> list[Row]:
    """Return a euro's rate for every day that a value may be of, in the European Central Bank's form."""
    rng = random.Random(SEED + 2)
    days = [RATE_DAY - timedelta(days=back) for back in range(2001)]
    return [{"Date": day.isoformat(), "USD": f"{rng.uniform(1.05, 1.15):.4f}"} for day in days]


def write(path: Path, rows: Iterable[Row]) -> Path:
    """Write rows as CSV, the first of which has the headings; editions may have fewer cells than the first."""
    first, rest = next(iterator := iter(rows)), iterator
    headings = list(dict.fromkeys([*first, *_MAY_BE_ABSENT])) if "title" in first or "grade" in first else list(first)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, headings, restval="")
        writer.writeheader()
        writer.writerow(first)
        writer.writerows(rest)
    return path


_MAY_BE_ABSENT = ("width_mm", "thickness_mm", "mass_g", "value", "currency", "basis", "valued_on", "source")
