"""What a large library costs in a folder and on a PostgreSQL server, side by side, in one process after the other.

    pg_virtualenv -o fsync=on python -m tests.benchmarks.server_sizes [--copies 100000] [--editions 1000000]
                  [--pictures 10000] [--picture-kb 200] [--library FOLDER]

The library is that of `tests.benchmarks.growth`; the server's comes out of its archive. Where more editions are asked
for than it has, they are put into both databases as rows, without copies and without entries in the ledger: enough to
measure questions, and done in minutes where an import takes an hour (`tests.benchmarks.import_million`). Milliseconds
are the median of some tries by the clock; each is the work of one desk, without the network. The pictures are random
bytes, as no compression helps with photographs.
"""

import argparse
import os
import random
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from hashlib import sha256
from itertools import islice
from pathlib import Path

from sqlalchemy import func, select

from intake.edges.clock import now, today
from intake.edges.store.archive_restore import restore_archive
from intake.edges.store.archive_writing import write_archive
from intake.edges.store.derived import derived
from intake.edges.store.engines.bulk import insert_rows
from intake.edges.store.engines.server_schema import WORD_INDEX, settle
from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.words import find_editions, find_editions_like
from intake.edges.store.tables import TABLES
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.flow.papers.registry import find_paper
from intake.flow.shelves.arrange_shelves import propose
from intake.flow.unpacking.station import book_line
from intake.model.editions import Edition
from intake.model.sightings import Picture
from tests.benchmarks.growth.lists import Row, book_number, editions
from tests.benchmarks.growth.running import program
from tests.benchmarks.growth.stocked import arrived_box, stock
from tests.servers import DATABASES, IS_THERE, WHY_NOT, address_of, execute

LOT = 20_000


def median_ms(tries: int, step: Callable[[int], object]) -> float:
    """Return the median of some tries, in milliseconds."""
    times = []
    for nth in range(tries):
        begun = time.perf_counter()
        step(nth)
        times.append(1000 * (time.perf_counter() - begun))
    return statistics.median(times)


def measures(library: Library, copies: int) -> Iterator[tuple[str, float]]:
    """Yield what was done and how long it took."""
    with library.reading() as records:
        yield "a title by two words", median_ms(20, lambda _: find_editions(records, "golden kiln"))
        yield "a title by its beginning", median_ms(20, lambda _: find_editions(records, "the ebon harb"))
        yield "a word with a slip", median_ms(5, lambda _: find_editions_like(records, "Corrovahe"))
        gathered = find_paper("inventory").gather
        source = PaperSource(library, records, today(), PaperFormat.XLSX)
        yield "the valued inventory, gathered", median_ms(1, lambda _: gathered(source, PaperOptions(currency="EUR")))
        yield "all shelves arranged anew", median_ms(1, lambda _: propose(records))
    box = arrived_box(copies)

    def scan(nth: int) -> object:
        moment = datetime.now(UTC)
        return book_line(library, box, book_number(7 * nth + 1), request=f"size-{nth}", station="one", now=moment)

    yield "one scan, booked or queued", median_ms(60, scan)


def edition_row(nth: int, given: Row) -> dict[str, object]:
    """Return the row of an invented edition."""
    edition = Edition(
        id=nth,
        title=str(given["title"]),
        key=str(given["key"]),
        number=str(given["number"]) or None,
        contributors=tuple(str(given["contributors"]).split("; ")),
        publisher=str(given["publisher"]),
    )
    derives = derived(edition)
    columns = TABLES[Edition].columns.keys()
    return {name: derives[name] if name in derives else getattr(edition, name) for name in columns}


def further_rows(library: Library, total: int) -> list[dict[str, object]]:
    """Return the rows of editions that a library has to get so that it has so many."""
    column = TABLES[Edition].c.id
    with library.reading() as records:
        held, last = records.connection.execute(select(func.count(column), func.max(column))).one()
    wanted = islice(editions(), held, max(total, held))
    return [edition_row(last + nth, given) for nth, given in enumerate(wanted, 1)]


def add_rows(library: Library, rows: list[dict[str, object]]) -> None:
    """Put rows of editions into a library."""
    with library.writing() as work:
        connection = work.connection
        on_server = connection.dialect.name != "sqlite"
        if on_server and rows:  # as for a restore: words are counted, and indexed, once
            connection.exec_driver_sql("ALTER TABLE edition DISABLE TRIGGER USER")
            connection.exec_driver_sql(f"DROP INDEX {WORD_INDEX}")
        for first in range(0, len(rows), LOT):
            insert_rows(connection, TABLES[Edition], rows[first : first + LOT])
        if on_server and rows:
            connection.exec_driver_sql("ALTER TABLE edition ENABLE TRIGGER USER")
            settle(connection)


def keep_pictures(library: Library, count: int, size: int) -> tuple[float, float]:
    """Keep pictures, then read a tenth of them; return the milliseconds of each."""
    rng, kept = random.Random(1), []

    def keep(_nth: int) -> None:
        data = rng.randbytes(size)
        name = sha256(data).hexdigest()
        kept.append(name)
        library.keep_picture(data, Picture(sha256=name, name="x.jpg", media_type="image/jpeg", width_px=1, height_px=1))

    writing = median_ms(count, keep)
    reading = median_ms(max(count // 10, 1), lambda nth: Path(str(library.picture_path(kept[nth]))).read_bytes())
    return writing, reading


def main() -> int:
    """Make the libraries, measure, and print a table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.server_sizes")
    parser.add_argument("--copies", type=int, default=100_000)
    parser.add_argument("--editions", type=int, default=1_000_000)
    parser.add_argument("--pictures", type=int, default=10_000)
    parser.add_argument("--picture-kb", type=int, default=200)
    parser.add_argument("--library", type=Path, help="one of so many copies that growth made earlier")
    chosen = parser.parse_args()
    if not IS_THERE:
        print(WHY_NOT)
        return 2
    own = program(None)
    made = chosen.library or stock(own, chosen.copies).library
    with tempfile.TemporaryDirectory(prefix="intake-sizes-") as temporary:
        os.environ |= {f"XDG_{name}_HOME": str(Path(temporary) / name) for name in ("DATA", "CACHE")}
        folder, archive = Path(temporary) / "library", Path(temporary) / "books.zip"
        shutil.copytree(made, folder, ignore=shutil.ignore_patterns("backups"))
        name = DATABASES.make()
        try:
            with open_library(folder) as library:
                begun = time.perf_counter()
                entries = write_archive(library, archive, now()).manifest.entries
            print(f"{chosen.copies} copies, {entries} entries in the ledger")
            print(f"archive written in {time.perf_counter() - begun:.0f} s", flush=True)
            begun = time.perf_counter()
            restore_archive(archive, address_of(name))
            print(f"restored to the server in {time.perf_counter() - begun:.0f} s", flush=True)
            with open_library(folder) as here, open_library(address_of(name)) as there:
                rows = further_rows(here, chosen.editions)
                for which, library in (("folder", here), ("server", there)):
                    begun = time.perf_counter()
                    add_rows(library, rows)
                    print(f"{which}: {len(rows)} more editions in {time.perf_counter() - begun:.0f} s", flush=True)
                rows.clear()
                execute("VACUUM ANALYZE", name)  # as the server does by itself within minutes
                for (what, one), (_, other) in zip(
                    measures(here, chosen.copies), measures(there, chosen.copies), strict=True
                ):
                    print(f"{what:32} folder {one:9.1f} ms   server {other:9.1f} ms", flush=True)
                before = execute("SELECT pg_database_size(current_database())", name)[0][0]
                size = sum(path.stat().st_size for path in folder.glob("library.sqlite3*"))
                print(f"records: folder {size / 1e6:.0f} MB, server {int(str(before)) / 1e6:.0f} MB")
                for which, library in (("folder", here), ("server", there)):
                    keeping, reading = keep_pictures(library, chosen.pictures, 1000 * chosen.picture_kb)
                    print(f"{which}: a picture kept in {keeping:.1f} ms, read in {reading:.1f} ms", flush=True)
                after = int(str(execute("SELECT pg_database_size(current_database())", name)[0][0]))
                each = f"{chosen.pictures} pictures of {chosen.picture_kb} kB"
                print(f"{each}: the database grew by {(after - int(str(before))) / 1e6:.0f} MB")
        finally:
            DATABASES.drop(name)
    return 0


if __name__ == "__main__":
    sys.exit(main())
