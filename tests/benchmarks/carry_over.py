"""A box list of many copies twice, and everything out and in again: seconds, memory, and how long others had to wait.

    python -m tests.benchmarks.carry_over [--copies 100000]

The lists are invented (`tests.benchmarks.growth.lists`). While a library is written, a second writer asks for its turn
again and again (`import_million.Waiting`).
"""

import argparse
import csv
import filecmp
import tempfile
import time
from itertools import islice
from pathlib import Path

from tests.benchmarks.growth.lists import RATE_DAY, editions, write
from tests.benchmarks.growth.running import Program, program, run
from tests.benchmarks.import_million import DATABASE, Waiting

COPIES_OF_AN_EDITION = 5
COPIES_A_BOX = 40
LIMIT_S = 600.0


def box_list(path: Path, keys: list[str], count: int) -> Path:
    """Write an invented box list of that many copies, a tenth of them in no box, two thirds with a value."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(("key", "box", "grade", "note", "value", "currency", "valued_on"))
        for nth in range(count):
            box = "" if nth % 10 == 0 else 1 + nth // COPIES_A_BOX
            value = (f"{20 + nth % 300}.50", "EUR", "2026-01-15") if nth % 3 else ("", "", "")
            writer.writerow((keys[nth % len(keys)], box, "Fine", f"invented {nth}", *value))
    return path


def measured(of: Program, library: Path, *words: str) -> None:
    """Run a command and print what it cost."""
    database = library / DATABASE
    other = Waiting(database) if database.is_file() else None
    if other is not None:
        other.start()
    started = time.monotonic()
    cost = run([*of.words, "--library", str(library), *words], of.environ(), limit=LIMIT_S)
    elapsed = time.monotonic() - started
    waited = ""
    if other is not None:
        other.ended.set()
        other.join()
        waited = f"; another writer waited at most {other.longest_s:.2f} s"
    name = " ".join(word for word in words if "/" not in word)
    print(f"{name}: status {cost.status}, {cost.seconds:.1f} s of processor, {elapsed:.1f} s in all, "
          f"peak {cost.peak_bytes / 1e6:.0f} MB{waited}")  # fmt: skip
    print("   ", cost.output.strip().splitlines()[-1] if cost.output.strip() else "")


def main() -> None:
    """Import twice, carry over, compare."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.carry_over")
    parser.add_argument("--copies", type=int, default=100_000)
    count = parser.parse_args().copies
    of = program(None)
    with tempfile.TemporaryDirectory(prefix="intake-carry-") as folder:
        root = Path(folder)
        rows = list(islice(editions(), count // COPIES_OF_AN_EDITION))
        catalog = write(root / "catalog.csv", rows)
        copies = box_list(root / "copies.csv", [str(row["key"]) for row in rows], count)
        library, again = root / "library", root / "again"
        measured(of, library, "import", "editions", str(catalog))
        for _ in range(2):
            measured(of, library, "import", "copies", str(copies))
        measured(of, library, "export", "everything", str(root / "out"))
        enter = ("rates", "enter", "EUR", "USD", "1.1", "--on", RATE_DAY.isoformat())
        run([*of.words, "--library", str(again), *enter], of.environ(), limit=LIMIT_S)
        run([*of.words, "--library", str(again), "undo"], of.environ(), limit=LIMIT_S)
        measured(of, again, "import", "everything", str(root / "out"))
        measured(of, again, "export", "everything", str(root / "second"))
        same = filecmp.dircmp(root / "out", root / "second")
        print("the same bytes:", not same.diff_files and not same.left_only and not same.right_only)


if __name__ == "__main__":
    main()
