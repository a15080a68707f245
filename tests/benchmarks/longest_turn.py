"""How long writers wait while long work is done: the longest turn of each step, and the longest wait of another writer.

    python -m tests.benchmarks.longest_turn [--copies 20000]

The steps are the command's, on an invented library; meanwhile a second process writes an entry every 20 ms, as a
station that scans does. The bound of the project is 0.3 s under the writing lock.
"""

import argparse
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from secrets import token_hex
from unittest.mock import patch

from intake.cli.main import run
from intake.edges.store.engines.turns import WritingTurn, WritingTurns
from intake.edges.store.library import open_library
from intake.model.changes import Action, ActionKind, made
from intake.model.sightings import Picture
from tests.benchmarks.growth.lists import lists, rates, write


def station(folder: Path) -> None:
    """Write an entry now and then, until standard input ends; print the longest wait of each in seconds."""
    with open_library(folder) as library:
        print("ready", flush=True)
        for _line in sys.stdin:
            longest = count = 0.0
            end = time.monotonic() + 3600
            while time.monotonic() < end and not (folder / "stop").exists():
                began = time.monotonic()
                picture = Picture(
                    sha256=token_hex(32), name="invented.jpg", media_type="image/jpeg", width_px=1, height_px=1
                )
                library.apply(Action(ActionKind.PHOTOGRAPH_COPY, "", "phone"), made(picture))
                longest = max(longest, time.monotonic() - began)
                count += 1
                time.sleep(0.02)
            print(f"{longest:.3f} {count:.0f}", flush=True)


@contextmanager
def turns_taken() -> Iterator[list[tuple[float, float]]]:
    """Collect how long each turn of this process lasts, in seconds by the clock and of the processor."""
    taken, lengths = WritingTurns.taken, list[tuple[float, float]]()

    @contextmanager
    def measured(self: WritingTurns, *given: object) -> Iterator[WritingTurn]:
        with taken(self, *given) as turn:  # type: ignore[arg-type] # passed on as they are
            began, spent = time.monotonic(), time.thread_time()
            try:
                yield turn
            finally:
                lengths.append((time.monotonic() - began, time.thread_time() - spent))

    with patch.object(WritingTurns, "taken", measured):
        yield lengths


def measure(folder: Path, other: "subprocess.Popen[str]", name: str, words: Sequence[str]) -> None:
    """Run a command beside the other writer and print what it took."""
    assert other.stdin is not None
    assert other.stdout is not None
    (folder / "stop").unlink(missing_ok=True)
    other.stdin.write("go\n")
    other.stdin.flush()
    began = time.monotonic()
    with turns_taken() as lengths:
        status = run(["--library", str(folder), *words])
    whole = time.monotonic() - began
    (folder / "stop").touch()
    waited = other.stdout.readline().split()
    longest = max((wall for wall, _ in lengths), default=0.0)
    busiest = max((processor for _, processor in lengths), default=0.0)
    print(
        f"{name:32} status {status}  {whole:6.1f} s  {len(lengths):4} turns, longest {longest:.3f} s, "
        f"{busiest:.3f} s of the processor; "
        f"the other writer waited at most {waited[0]} s in {waited[1]} entries",
        file=sys.stderr,
    )


def main() -> None:
    """Make the lists, import them, and do what writes most."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--copies", type=int, default=20_000)
    parser.add_argument("--station", type=Path)
    asked = parser.parse_args()
    if asked.station:
        station(asked.station)
        return
    with tempfile.TemporaryDirectory() as scratch:
        folder, out = Path(scratch) / "library", Path(scratch) / "out.pdf"
        stock = lists(asked.copies)
        files = {
            "editions": write(Path(scratch) / "editions.csv", stock.editions),
            "printings": write(Path(scratch) / "printings.csv", stock.printings),
            "places": write(Path(scratch) / "places.csv", stock.places),
            "copies": write(Path(scratch) / "copies.csv", [{**row, "box": ""} for row in stock.copies]),
            "rates": write(Path(scratch) / "rates.csv", rates()),
        }
        with open_library(folder, create=True):
            pass
        words = [sys.executable, "-m", "tests.benchmarks.longest_turn", "--station", str(folder)]
        with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
            assert other.stdout is not None
            assert other.stdin is not None
            assert other.stdout.readline() == "ready\n"
            measure(folder, other, "import editions", ["import", "editions", str(files["editions"])])
            measure(folder, other, "import printings", ["import", "printings", str(files["printings"])])
            measure(folder, other, "import places", ["import", "places", str(files["places"])])
            measure(folder, other, "import copies", ["import", "copies", str(files["copies"])])
            measure(folder, other, "rates import", ["rates", "import", str(files["rates"])])
            measure(folder, other, "plan --book", ["plan", "--seconds", "5", "--book"])
            measure(folder, other, "arrange --apply", ["arrange", "--apply"])
            measure(folder, other, "print shelf-labels", ["print", "shelf-labels", "-o", str(out)])
            measure(folder, other, "schedule insurance", ["schedule", "insurance", "-o", str(out.with_suffix(".csv"))])
            measure(folder, other, "backup", ["backup", str(out.with_suffix(".zip"))])
            measure(folder, other, "undo", ["undo"])
            other.stdin.close()


if __name__ == "__main__":
    main()
