"""Count wrong numbers that are accepted from pictures made to mislead.

    python -m tests.benchmarks.false_readings [pictures of each kind] [kind ...]

The pictures (`tests/reading/lures.py`) show stripes, textures, text, symbols of other families, spoilt and hopeless
ones. Each is read without a catalog and with one of 10,000 numbers that lacks the one in the picture. Printed are the
wrong ones accepted by kind, and, where there is none, the rate that is excluded at 95 %: 3 over the number of pictures
(the rule of three; J. A. Hanley and A. Lippman-Hand, "If nothing goes wrong, is everything all right?", JAMA 1983).
"""

import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache
from itertools import product

from intake.reading.code_book import CodeBook
from intake.reading.decoders import Zbar, Zxing, available
from intake.reading.read import read
from tests.benchmarks.photo_table import Reader, alone, opencv
from tests.reading.drawing import invented
from tests.reading.lures import KIND_NAMES, Lure, lure

CATALOG = 10_000


@lru_cache
def catalog() -> CodeBook:
    """Return a catalog of invented numbers."""
    return CodeBook.of(invented(CATALOG))


@lru_cache
def others() -> dict[str, Reader]:
    """Return the decoders alone."""
    return {"zxing": alone(Zxing()), "pyzbar": alone(Zbar()), "opencv": opencv()}


def accepted(picture: Lure, known: CodeBook | None) -> list[tuple[str, tuple[str, ...]]]:
    """Return the wrong numbers accepted, with what read them."""
    found = read(picture.grey, decoders=available(), known=known)
    return [(each.number, each.methods) for each in found if each.accepted and each.number != picture.number]


def trial(case: tuple[str, int]) -> tuple[str, int, list[str], Counter[str]]:
    """Read one picture both ways; return what was wrongly accepted, in words, and who alone would have been wrong."""
    kind, seed = case
    picture = lure(kind, seed)
    wrong = [
        f"{name}: {number} by {'+'.join(methods)}, printed {picture.number}"
        for name, known in (("no catalog", None), ("catalog", catalog()))
        for number, methods in accepted(picture, known)
    ]
    misled = Counter(name for name, reader in others().items() if reader(picture.grey)[0] - {picture.number})
    return kind, seed, wrong, misled


def main(arguments: list[str]) -> int:
    """Print the table."""
    count = int(arguments[0]) if arguments else 200
    cases = list(product(arguments[1:] or KIND_NAMES, range(count)))
    pictures, bad, misled = Counter[str](), Counter[str](), {kind: Counter[str]() for kind in KIND_NAMES}
    with ProcessPoolExecutor(2) as pool:
        for kind, seed, wrong, alone_wrong in pool.map(trial, cases, chunksize=8):
            pictures[kind] += 1
            bad[kind] += bool(wrong)
            misled[kind] += alone_wrong
            for each in wrong:
                print(f"wrong: {kind} {seed}, {each}", flush=True)
    names = list(others())
    print(f"{'':14}{'pictures':>9}{'ours':>7}" + "".join(f"{name:>8}" for name in names))
    for kind, total in pictures.items():
        print(f"{kind:14}{total:9d}{bad[kind]:7d}" + "".join(f"{misled[kind][name]:8d}" for name in names))
    total, all_bad = pictures.total(), bad.total()
    print(f"{'all':14}{total:9d}{all_bad:7d}")
    if not all_bad:
        print(f"none of {total}, twice each: fewer than 1 in {total // 3:,} pictures, at 95 %")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
