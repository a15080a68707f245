"""The commands and pages that are measured, and what each is about: one thing, or the whole library.

`read`, `check-shelf` and `demo` are not among them: their cost is that of pictures, which other benchmarks measure.
"""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from tests.benchmarks.growth.lists import COPIES_A_BOX, RATE_DAY, REFERENCE, own_number
from tests.benchmarks.growth.stocked import QUERY_EVERY, Stock, arrived_box, box_at


class Scope(StrEnum):
    """What a job is about, which decides what it may cost."""

    ONE = "one thing"
    LIST = "list"
    WHOLE = "whole"
    PAGE = "page"


@dataclass(frozen=True, slots=True)
class Job:
    """One command or page.

    Attributes:
        words: the command's arguments after the library's; for a page, its address alone.
        typed: what it reads from its standard input.
        after: the arguments of a command that must have written the file that this one reads, its last argument.
        body: what is sent with the request, for a page that takes something.
    """

    name: str
    scope: Scope
    words: tuple[str, ...]
    typed: str = ""
    after: tuple[str, ...] = ()
    body: tuple[tuple[str, str], ...] = ()


def jobs(stock: Stock, out: Path) -> list[Job]:
    """Return all jobs for a library; papers are written to `out`."""
    things = _Things(stock)
    return [*_one(things, out), *_lists(out), *_whole(stock, out), *_pages(things)]


class _Things:
    """The box, copy and shelf that each job names; `states` gave them their states."""

    def __init__(self, stock: Stock) -> None:
        size = stock.size
        self.arrived, self.open = arrived_box(size), box_at(size, 1)
        self.begun, self.closed, self.done = box_at(size, 0.505), box_at(size, 0.9), box_at(size, 0.2)
        first = (int(self.arrived[1:].partition("-")[0]) - 1) * COPIES_A_BOX + 1
        self.packed, self.packed_too = own_number("A", first), own_number("A", first + 1)
        self.shelved, self.waiting = own_number("A", size // 4 + 1), own_number("A", 100)
        self.at_hand = own_number("A", size)
        self.shelf, self.bookcase = own_number("S", 3), "Case 1"
        # The first half of the pile are numbers on no list, the second half are titles.
        self.query = str(max(2, size // QUERY_EVERY) // 2 + 1)
        with (stock.lists / "editions.csv").open(newline="", encoding="utf-8") as file:
            self.edition = next(row for row in csv.DictReader(file) if row["number"])
        self.row = stock.lists / "one-edition.csv"
        self.row.write_text("key,title,publisher\nNEW-1,The Pale Kiln of Nowhere,Larkmoss Press\n", encoding="utf-8")


def _one(of: _Things, out: Path) -> list[Job]:
    day = ("--on", RATE_DAY.isoformat())
    commands: list[tuple[str, Sequence[str]]] = [
        ("find a number", ("find", of.edition["number"])),
        ("find a title", ("find", of.edition["title"])),
        ("explain", ("explain", of.edition["number"])),
        ("import one edition", ("import", "editions", str(of.row))),
        ("box show", ("box", "show", of.arrived)),
        ("box open", ("box", "open")),
        ("pack", ("pack", of.open, of.at_hand)),
        ("box close", ("box", "close", of.open)),
        ("box arrive", ("box", "arrive", of.closed, "--carton", "sound")),
        ("box finish", ("box", "finish", of.begun, "--reason", "An empty gap")),
        ("weigh a box", ("weigh", of.arrived)),
        ("weigh and record", ("weigh", of.arrived, "17 kg")),
        ("lift a box", ("lift", of.arrived)),
        ("parcel", ("parcel", "1500 g", "--box", of.arrived)),
        ("parcel, no box", ("parcel", "1500 g")),
        ("damage", ("damage", of.shelved, "corner", "crushed")),
        ("consign measure", ("consign", "measure", of.arrived, "43x34x32 cm")),
        ("pile decide, not a book", ("pile", "decide", of.query, "--not-a-book")),
        ("pile decide, an option", ("pile", "decide", of.query, "--as", "new:1")),
        ("room", ("room", of.waiting)),
        ("room --done", ("room", of.waiting, "--done")),
        ("shelve", ("shelve", of.shelf, of.waiting)),
        ("order", ("order",)),
        ("loads of a shelf", ("loads", of.shelf)),
        ("draw a bookcase", ("draw", of.bookcase, "-o", str(out / "case.svg"))),
        ("place make", ("place", "make", "five shelves of 800 x 300 x 250 mm", "--room", "Hall", "--bookcase", "New")),
        ("value copy", ("value", "copy", of.shelved, "120", "EUR", *day)),
        ("value set", ("value", "set", "1", "500", "EUR", *day)),
        ("rates enter", ("rates", "enter", "EUR", "GBP", "0.86", *day)),
        ("rates list", ("rates", "list", "USD")),
        ("average", ("average", "1000", "50000", "80000", "EUR")),
        ("condition record", ("condition", "record", of.shelved, "--grade", "Fine", "--defect", "boards=rubbed")),
        ("print box-labels, one", ("print", "box-labels", of.arrived, "-o", str(out / "box.pdf"))),
        ("print face-labels, one", ("print", "face-labels", of.arrived, "-o", str(out / "face.pdf"))),
        ("print packing-list, one", ("print", "packing-list", of.arrived, "-o", str(out / "list.pdf"))),
        ("print shelf-labels, one", ("print", "shelf-labels", of.shelf, "-o", str(out / "shelf.pdf"))),
        ("print copy-flags, one", ("print", "copy-flags", of.shelved, "-o", str(out / "flag.pdf"))),
        ("schedule copy", ("schedule", "copy", of.shelved, "-o", str(out / "copy.pdf"))),
        ("history of a copy", ("history", of.shelved)),
        ("history", ("history",)),
        ("undo", ("undo",)),
    ]
    typed = [("unpack a copy", of.packed), ("unpack by title", of.edition["title"].rpartition(" of ")[0])]
    return [
        *(Job(name, Scope.ONE, tuple(words)) for name, words in commands),
        *(Job(name, Scope.ONE, ("unpack", "--no-ask", of.arrived), f"{text}\n") for name, text in typed),
    ]


def _lists(out: Path) -> list[Job]:
    day = ("--on", RATE_DAY.isoformat())
    insurance = ("schedule", "insurance", *day, "-o", str(out / "insurance.csv"))
    commands: list[tuple[str, Sequence[str]]] = [
        ("status", ("status",)),
        ("find a word", ("find", "heron")),
        ("box list", ("box", "list")),
        ("place list", ("place", "list")),
        ("pile list", ("pile", "list")),
        ("sets", ("sets",)),
        ("value total", ("value", "total", "EUR", *day)),
        ("value review", ("value", "review", "EUR", *day)),
        ("reconcile", ("reconcile", REFERENCE)),
        ("claim", ("claim", REFERENCE, "--regime", "per-kg", "--amount-per-kg", "9", *day)),
        ("consign show", ("consign", "show", REFERENCE)),
        ("loads", ("loads",)),
        ("print inventory .csv", ("print", "inventory", "-o", str(out / "inventory.csv"))),
        ("schedule insurance .csv", insurance),
        ("schedule high-value .csv", ("schedule", "high-value", "150", *day, "-o", str(out / "dearest.csv"))),
    ]
    verify = Job("verify insurance .csv", Scope.LIST, ("verify", insurance[-1]), after=insurance)
    return [*(Job(name, Scope.LIST, tuple(words)) for name, words in commands), verify]


def _whole(stock: Stock, out: Path) -> list[Job]:
    day = ("--on", RATE_DAY.isoformat())
    commands: list[tuple[str, Sequence[str]]] = [
        ("check", ("check",)),
        ("backup", ("backup", str(out / "backup.sqlite3"))),
        ("import editions, dry run", ("import", "editions", str(stock.lists / "editions.csv"), "--dry-run")),
        ("import copies, dry run", ("import", "copies", str(stock.lists / "copies.csv"), "--dry-run")),
        ("plan --seconds 5", ("plan", "--seconds", "5")),
        ("plan --seconds 5 --shelved", ("plan", "--seconds", "5", "--shelved")),
        ("arrange", ("arrange",)),
        ("print box-labels", ("print", "box-labels", "-o", str(out / "boxes.pdf"))),
        ("print face-labels", ("print", "face-labels", "-o", str(out / "faces.pdf"))),
        ("print packing-list", ("print", "packing-list", "-o", str(out / "lists.pdf"))),
        ("print master-list", ("print", "master-list", REFERENCE, "-o", str(out / "master.pdf"))),
        ("print shelf-labels", ("print", "shelf-labels", "-o", str(out / "shelves.pdf"))),
        ("print copy-flags", ("print", "copy-flags", "-o", str(out / "flags.pdf"))),
        ("print inventory .pdf", ("print", "inventory", "-o", str(out / "inventory.pdf"))),
        ("schedule insurance .pdf", ("schedule", "insurance", *day, "-o", str(out / "insurance.pdf"))),
        ("schedule move", ("schedule", "move", REFERENCE, *day, "-o", str(out / "move.pdf"))),
        ("schedule customs", ("schedule", "customs", REFERENCE, *day, "-o", str(out / "customs.pdf"))),
    ]
    return [Job(name, Scope.WHOLE, tuple(words)) for name, words in commands]


def _pages(of: _Things) -> list[Job]:
    pages = [
        ("page: start", "/"),
        ("page: unpack a box", f"/unpack/{of.arrived}"),
        ("page: typing", "/api/typing?text=the+dun+her"),
        ("page: pile", "/pile"),
        ("page: a query", f"/pile/{of.query}"),
        ("page: boxes", "/boxes"),
        ("page: a box", f"/boxes/{of.arrived}"),
        ("page: shelves", "/shelves"),
        ("page: a shelf", f"/shelves/{of.shelf}"),
        ("page: catalog, a word", "/catalog?q=heron"),
        ("page: catalog, a title", f"/catalog?q={of.edition['title'].replace(' ', '+').replace(',', '')}"),
        ("page: an edition", "/editions/1"),
        ("page: a copy", f"/copies/{of.shelved}"),
        ("page: papers", "/papers"),
        ("page: ledger", "/ledger"),
    ]
    scan = (("box", of.arrived), ("text", of.packed_too), ("request", "growth-1"))
    return [
        *(Job(name, Scope.PAGE, (address,)) for name, address in pages),
        Job("page: a scan", Scope.PAGE, ("/api/scan",), body=scan),
    ]
