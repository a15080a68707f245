"""A table of hard pictures by kind: what this reader and what general decoders alone make of them.

    python -m tests.benchmarks.hard_pictures [pictures of each kind] [kind ...] [--left folder]

The pictures are drawn (`tests/reading/hard.py`): symbols of an independent encoder (zint) on paper that leans, bends,
shines or lies in shadow. "right" is accepted and printed in the picture, "wrong" accepted and not printed there,
"asked" right among what is shown to the person but not accepted. Decoders alone have one pass over the picture; what
they return counts. Times are of the processor, in milliseconds a picture. With `--left`, pictures that this reader
leaves are saved there.
"""

import statistics
import sys
import time
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import product
from pathlib import Path

import cv2

from intake.reading.decoders import Zbar, Zxing, available
from tests.benchmarks.photo_table import Reader, alone, opencv, ours
from tests.reading.hard import KINDS, Hard, hard

CATALOG = 10_000
READERS = ("ours", "zxing", "pyzbar", "opencv")


@dataclass(frozen=True)
class Outcome:
    """What one reader made of one picture."""

    right: bool
    wrong: bool
    asked: bool
    ms: float


@dataclass
class Row:
    """One reader's outcomes for one kind."""

    outcomes: list[Outcome] = field(default_factory=list)

    def __str__(self) -> str:
        right, wrong, asked = (
            sum(getattr(each, name) for each in self.outcomes) for name in ("right", "wrong", "asked")
        )
        return f"{right:6d}{wrong:4d}{asked:4d}{statistics.mean(each.ms for each in self.outcomes):6.0f}"


@lru_cache
def readers() -> dict[str, Reader]:
    """Return what is compared, by name."""
    return {"ours": ours(available()), "zxing": alone(Zxing()), "pyzbar": alone(Zbar()), "opencv": opencv()}


def tried(reader: Reader, picture: Hard) -> Outcome:
    """Show one picture to one reader."""
    start = time.process_time()
    accepted, shown = reader(picture.grey)
    ms = (time.process_time() - start) * 1000
    number = picture.printed.number
    return Outcome(number in accepted, bool(accepted - {number}), number in shown - accepted, ms)


def shot(case: tuple[str, int, str | None]) -> tuple[str, str, dict[str, Outcome]]:
    """Take one picture and show it to all; save it where this reader leaves it or errs."""
    kind, seed, folder = case
    picture = hard(kind, seed)
    outcomes = {name: tried(reader, picture) for name, reader in readers().items()}
    if folder and (not outcomes["ours"].right or outcomes["ours"].wrong):
        others = "".join(name[0] for name in ("zxing", "pyzbar", "opencv") if outcomes[name].right)
        word = "wrong" if outcomes["ours"].wrong else "asked" if outcomes["ours"].asked else "left"
        cv2.imwrite(f"{folder}/{kind}-{seed:04d}-{picture.printed.form}-{word}-{others}.png", picture.grey)
    return kind, picture.printed.form, outcomes


def main(arguments: list[str]) -> int:
    """Print the table."""
    folder = None
    if "--left" in arguments:
        i = arguments.index("--left")
        folder = arguments[i + 1]
        Path(folder).mkdir(parents=True, exist_ok=True)
        arguments = arguments[:i] + arguments[i + 2 :]
    count = int(arguments[0]) if arguments else 40
    cases = [(kind, seed, folder) for kind, seed in product(arguments[1:] or KINDS, range(count))]
    rows: dict[str, dict[str, Row]] = defaultdict(lambda: defaultdict(Row))
    with ProcessPoolExecutor(2) as pool:
        for kind, form, outcomes in pool.map(shot, cases, chunksize=4):
            for name, outcome in outcomes.items():
                for part in (kind, f"[{form}]", "all"):
                    rows[part][name].outcomes.append(outcome)
    print(f"{'':12}{'pictures':>9}" + "".join(f" |{name:>8}  bad ask  ms" for name in READERS))
    for part in sorted(rows, key=lambda each: (each == "all", each[0] == "[", each)):
        line = f"{part:12}{len(rows[part]['ours'].outcomes):9d}"
        print(line + "".join(f" |  {rows[part][name]}" for name in READERS))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
