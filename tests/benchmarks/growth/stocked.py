"""Libraries of any size, made by the program that is measured and kept in the temporary folder for the next run."""

import hashlib
import json
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.growth import lists
from tests.benchmarks.growth.lists import book_number, own_number
from tests.benchmarks.growth.running import Program, Run, run

MAKING_LIMIT_S = 1800
QUERY_EVERY = 500
STATES = Path(__file__).with_name("states.py")


class MakingError(Exception):
    """A library could not be made; the message is the program's own."""


@dataclass(frozen=True, slots=True)
class Stock:
    """A library on disk: its size, its folder, the lists that it was made of, and what each import cost."""

    size: int
    library: Path
    lists: Path
    imports: dict[str, Run]


def stock(program: Program, size: int, *, fresh: bool = False) -> Stock:
    """Return the library of a size, made now if no earlier run made it or if it is to be `fresh`.

    One that an earlier form of the program made is brought up to date, so that no job has to pay for that.

    Raises:
        MakingError: the program refused a list, or took longer than half an hour over one.
    """
    made_by = (lists.__file__, str(STATES))
    sources = b"".join(Path(source).read_bytes() for source in made_by) + repr(program).encode()
    cache = Path(tempfile.gettempdir()) / "intake-growth"
    folder = cache / f"{size}-{hashlib.sha256(sources).hexdigest()[:12]}"
    costs = folder / "imports.json"
    if fresh or not costs.exists():
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        imports = _make(program, size, folder)
        costs.write_text(json.dumps({name: [cost.seconds, cost.peak_bytes] for name, cost in imports.items()}))
    _done([*program.words, "--library", str(folder / "library"), "status"], program)
    held = {name: Run(seconds, peak, 0, "") for name, (seconds, peak) in json.loads(costs.read_text()).items()}
    return Stock(size, folder / "library", folder, held)


def _make(program: Program, size: int, folder: Path) -> dict[str, Run]:
    made = lists.lists(size)
    rows = {
        "editions": made.editions,
        "printings": made.printings,
        "places": made.places,
        "copies": made.copies,
        "boxes": made.boxes,
        "consignment": lists.consignment(),
    }
    own = [*program.words, "--library", str(folder / "library")]
    costs = {}
    for kind, of_kind in rows.items():
        path = lists.write(folder / f"{kind}.csv", of_kind)
        costs[kind] = _done([*own, "import", kind, str(path)], program)
    rates = lists.write(folder / "rates.csv", lists.rates())
    _done([*own, "rates", "import", str(rates), "--source", "invented"], program)
    _done([program.interpreter, "-P", str(STATES), str(folder / "library")], program)
    _done([*own, "unpack", "--no-ask", arrived_box(size)], program, typed=queries(made.editions, size))
    return costs


def _done(words: list[str], program: Program, typed: str = "") -> Run:
    cost = run(words, program.environ(), limit=MAKING_LIMIT_S, typed=typed)
    if cost.status != 0:
        raise MakingError(f"{' '.join(words)}: {'longer than the limit' if cost.status is None else cost.output}")
    return cost


def queries(editions: list[lists.Row], size: int) -> str:
    """Return what was scanned and typed and waits on the pile: numbers on no list, and titles half remembered."""
    count = max(2, size // QUERY_EVERY)
    unknown = [book_number(90_000_000 + nth) for nth in range(count // 2)]
    half = [
        str(row["title"]).rpartition(" of ")[0] for row in editions[:: len(editions) // count][: count - count // 2]
    ]
    return "\n".join([*unknown, *half]) + "\n"


def box_at(size: int, part: float) -> str:
    """Return the box that lies at a part of all boxes, 0 the first and 1 the last; see `states` for their states."""
    boxes = -(-(size - size // 20) // lists.COPIES_A_BOX)
    return own_number("B", min(boxes, round(part * boxes) + 1))


def arrived_box(size: int) -> str:
    """Return a box that has arrived and was not begun."""
    return box_at(size, 0.6)
