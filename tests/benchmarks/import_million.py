"""A catalog of a million editions, imported through the command: seconds, memory, and how long others had to wait.

    python -m tests.benchmarks.import_million [--editions 1000000] [--program PATH_OR_COMMAND] [--limit SECONDS]
                                              [--dry-run]

The list is invented (`tests.benchmarks.growth.lists`) and written as it is made, so that this process stays small. The
import is ended at the limit of processor seconds. Meanwhile a second writer asks for its turn again and again; its
longest wait is how long the import kept a desk at the same library from booking anything.
"""

import argparse
import sqlite3
import tempfile
import threading
import time
from itertools import islice
from pathlib import Path

from tests.benchmarks.growth.lists import RATE_DAY, editions, write
from tests.benchmarks.growth.running import program, run

MILLION = 1_000_000
LIMIT_S = 600.0
DATABASE = "library.sqlite3"
EVERY_S = 0.05


class Waiting(threading.Thread):
    """Another writer at the same library, which changes nothing and remembers its longest wait."""

    def __init__(self, database: Path) -> None:
        super().__init__(daemon=True)
        self.database = database
        self.longest_s = 0.0
        self.ended = threading.Event()
        self._since: float | None = None

    def run(self) -> None:
        """Ask for the turn to write, give it back, and ask again."""
        connection = sqlite3.connect(self.database, timeout=0, isolation_level=None)
        while not self.ended.wait(EVERY_S / 10 if self._since else EVERY_S):
            self._since = self._since or time.monotonic()
            try:
                connection.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError:
                continue
            finally:
                self.longest_s = max(self.longest_s, time.monotonic() - self._since)
            connection.execute("ROLLBACK")
            self._since = None
        connection.close()


def main() -> None:
    """Import, and print what it cost."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.import_million")
    parser.add_argument("--editions", type=int, default=MILLION)
    parser.add_argument("--program", help="path or command; this tree's own where none is named")
    parser.add_argument("--limit", type=float, default=LIMIT_S, help="processor seconds of the import")
    parser.add_argument("--dry-run", action="store_true", help="measure the import's dry run")
    chosen = parser.parse_args()
    of = program(chosen.program)
    with tempfile.TemporaryDirectory(prefix="intake-million-") as folder:
        catalog = write(Path(folder) / "catalog.csv", islice(editions(), chosen.editions))
        library = Path(folder) / "library"
        own = [*of.words, "--library", str(library)]
        enter = ("rates", "enter", "EUR", "USD", "1.1", "--on", RATE_DAY.isoformat())
        made = run([*own, *enter], of.environ(), limit=LIMIT_S)
        if made.status != 0:
            raise SystemExit(f"{of.name} does not run: {made.output}")
        other = Waiting(library / DATABASE)
        other.start()
        started = time.monotonic()
        words = [*own, "import", "editions", str(catalog), *(["--dry-run"] if chosen.dry_run else [])]
        cost = run(words, of.environ(), limit=chosen.limit)
        elapsed = time.monotonic() - started
        other.ended.set()
        other.join()
        size = catalog.stat().st_size
    ended = "ended at the limit" if cost.status is None else f"status {cost.status}"
    print(f"{of.name}: {chosen.editions:,} editions, {size / 1e6:.0f} MB of CSV, {ended}")
    print(f"{cost.seconds:.1f} s of processor, {elapsed:.1f} s in all, peak {cost.peak_bytes / 1e6:.0f} MB")
    print(f"The longest that another writer waited: {other.longest_s:.2f} s")
    print(cost.output.strip()[-500:])


if __name__ == "__main__":
    main()
