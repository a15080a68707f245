"""Measure how often each kind of evidence is wrong by itself, on generated pictures.

    python -m tests.benchmarks.evidence_table [pictures] [--first number] [--kept file.jsonl] [--plot plot.png]

The pictures are those of `tests.benchmarks.calibrate`: symbols of an independent encoder (zint), easy and hopeless.
For each, every kind of evidence is asked alone: each decoder once, the edges of the bars, their bands, and the grey
levels; then the whole reader. Printed are how many numbers each said and how many of them were wrong, with the rate
that is excluded at 95 % where none was (the rule of three; Hanley and Lippman-Hand, JAMA 1983), and promised against
observed errors for those that promise one. With `--kept`, the answers are added to those in the file, so that many
short runs, each with its own `--first`, make one table.
"""

import argparse
import json
from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from intake.reading.band_digits import read_bands
from intake.reading.calibration import judge
from intake.reading.decoders import available
from intake.reading.geometry import Grey
from intake.reading.grey_level import rank_candidates
from intake.reading.grey_profile import profile
from intake.reading.locate import locate
from intake.reading.probes import edge_evidence
from intake.reading.read import read
from tests.benchmarks.calibrate import draw, picture, reliability

Answer = tuple[str, float, bool]
"""A kind of evidence, the probability of error that it promised, 0 where it promises none, and whether it was wrong."""
Kept = dict[int, list[Answer]]
"""Answers by the number of the picture."""


def answers(seed: int) -> tuple[int, list[Answer]]:
    """Ask every kind of evidence about one picture."""
    grey, number, _, _ = picture(seed)
    return seed, [(kind, promised, said != number) for kind, promised, said in said_of(grey)]


def said_of(grey: Grey) -> Iterator[tuple[str, float, str]]:
    """Yield each kind of evidence that says a number, what it promises, and the number."""
    for decoder in available():
        for number in {symbol.number for symbol in decoder.decode(grey)}:
            yield f"one vote of {decoder.name}", 0.0, number
    corners = [region.corners for region in locate(grey, faint=True, most=1)]
    pooled = profile(grey, corners[0]) if corners else None
    found = {"edges": edge_evidence(grey, pooled), "bands": read_bands(grey, corners[0]) if corners else None}
    yield from ((kind, each.error, each.numbers[0]) for kind, each in found.items() if each and each.numbers)
    judgement = judge(rank_candidates(pooled), None) if pooled else None
    if judgement and judgement.error < 1:
        yield "grey levels", judgement.error, judgement.candidates[0].number
    for reading in read(grey, decoders=available()):
        yield "whole reader, accepted" if reading.accepted else "whole reader, asked", 0.0, reading.number


def table(kept: Kept) -> str:
    """Write what each kind said and how often it was wrong."""
    counts: dict[str, list[bool]] = defaultdict(list)
    for said in kept.values():
        for kind, _, wrong in said:
            counts[kind].append(wrong)
    lines = [f"{len(kept)} pictures{'':16}{'said':>8}{'wrong':>8}  observed error"]
    for kind in sorted(counts):
        total, bad = len(counts[kind]), sum(counts[kind])
        rate = f"{bad / total:.1e}" if bad else f"none; under {min(3 / total, 1):.1e} at 95 %"
        lines.append(f"{kind:26}{total:8d}{bad:8d}  {rate}")
    return "\n".join(lines)


def load(path: Path | None) -> Kept:
    """Return the answers kept in a file; none where there is no file."""
    if path is None or not path.exists():
        return {}
    rows = (json.loads(line) for line in path.read_text().splitlines())
    return {row["picture"]: [tuple(each) for each in row["answers"]] for row in rows}


def main() -> None:
    """Ask, keep, and print the table of all that was kept."""
    parser = argparse.ArgumentParser(description="Errors of each kind of evidence.")
    parser.add_argument("pictures", type=int, nargs="?", default=400)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--kept", type=Path)
    parser.add_argument("--plot", type=str)
    asked = parser.parse_args()
    kept = load(asked.kept)
    seeds = [seed for seed in range(asked.first, asked.first + asked.pictures) if seed not in kept]
    with ProcessPoolExecutor(2) as pool:
        for seed, said in pool.map(answers, seeds, chunksize=8):
            kept[seed] = said
            if asked.kept:
                with asked.kept.open("a") as file:
                    file.write(json.dumps({"picture": seed, "answers": said}) + "\n")
    print(table(kept))
    for kind in ("bands", "grey levels"):
        print(f"{kind}:")
        points = reliability([(p, wrong) for said in kept.values() for each, p, wrong in said if each == kind])
        if asked.plot and kind == "grey levels":
            draw(points, asked.plot)


if __name__ == "__main__":
    main()
