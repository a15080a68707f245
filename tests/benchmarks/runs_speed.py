"""How long a collector waits: 2,000 invented editions over 300 serials, 40 gaps with 400 candidates; times printed.

python -m tests.benchmarks.runs_speed
"""

import random
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from intake.edges.store.library import Library, open_library
from intake.flow.runs.edition_view import collects_lines
from intake.flow.runs.serial_map import collected_parts, serial_maps
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import Edition
from intake.runs.seek import SeekOffer, seek
from intake.runs.spans import spans_of

EDITIONS, SERIALS = 2000, 300


def fill(library: Library, draw: random.Random) -> None:
    new = Provisional()
    editions = []
    for nth in range(EDITIONS):
        first = draw.randint(1, 190)
        collects = f"Invented Serial {nth % SERIALS:03} Monthly {first}-{first + draw.randint(10, 50)}"
        editions.append(Edition(id=new.id(), title=f"Volume {nth}", key=f"K{nth}", collects=collects))
    library.apply(Action(ActionKind.IMPORT_EDITIONS, "invented"), made(*editions))


def timed(name: str, work: Callable[[], object]) -> None:
    started, busy = time.perf_counter(), time.process_time()
    work()
    print(f"{name:<44} {time.perf_counter() - started:8.3f} s, {time.process_time() - busy:8.3f} s of a processor")


def main() -> None:
    draw = random.Random(1)
    with tempfile.TemporaryDirectory() as folder, open_library(Path(folder) / "library", create=True) as library:
        fill(library, draw)
        with library.reading() as reader:
            for words in ("the map of all, statements read for the first time", "the map of all, again"):
                timed(words, lambda: serial_maps(reader, collected_parts(reader)))
            edition = reader.all(Edition)[0]
            for words in ("the line while unpacking", "the same again"):
                timed(words, lambda: collects_lines(reader, edition))
    offers = []
    for nth in range(400):
        pairs = [(first, first + draw.randint(0, 4)) for first in draw.sample(range(400), draw.randint(1, 3))]
        offers.append(SeekOffer(str(nth), spans_of(pairs), draw.randint(0, 3000)))
    gaps = tuple((first, first + draw.randint(0, 5)) for first in range(0, 400, 10))
    for fewest in (False, True):
        words = "fewest" if fewest else "cheapest"
        timed(f"40 gaps, 400 candidates, {words}", partial(seek, gaps, offers, fewest=fewest))
        print(f"    proved: {seek(gaps, offers, fewest=fewest).proved}")


if __name__ == "__main__":
    main()
