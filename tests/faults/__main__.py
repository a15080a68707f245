"""The full rehearsal of faults, with its numbers printed: `python -m tests.faults [PART …]`; without a part, all.

Leaves with status 1 where something was lost, doubled, damaged or missed. `--share 0.1` does a tenth of each part.
"""

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from tests.faults import (
    full_disk,
    kills,
    mutated,
    power_cuts,
    recording,
    restoring,
    stations,
    tampered,
    write_errors,
)

MEMORY = Path("/dev/shm")
SHOWN = 30
Result = tuple[str, Sequence[str]]
"""What was done, in figures, and what was wrong."""


def rehearse_kills(folder: Path, share: float) -> Result:
    """Kill stations, 500 times."""
    done = kills.rehearse(folder / "library", round(500 * share))
    return f"{done.kills} kills in mid-scan, {done.acknowledged} scans and pictures acknowledged", done.wrong


def rehearse_errors(folder: Path, share: float) -> Result:
    """Let every call that writes fail."""
    if why := recording.why_not():
        return f"not done: {why}", [why]
    done = write_errors.rehearse(folder, step=round(1 / share))
    figures = f"{done.runs} runs, {done.calls} calls that write in each, {done.refused} refusals"
    return f"{figures}, {done.acknowledged} scans acknowledged", done.wrong


def rehearse_power(folder: Path, share: float) -> Result:
    """Cut the power after every call that alters the disk."""
    if why := recording.why_not():
        return f"not done: {why}", [why]
    done = power_cuts.rehearse(folder, 80, sessions=4, share=share)
    figures = f"{done.states} states after {done.calls} calls, {done.different} different ones checked in full"
    seen = f"{done.opened} opened by the program as they were, {done.acknowledged} scans and pictures acknowledged"
    return f"{figures}; {seen}; {done.wrong_states} wrong", done.wrong


def rehearse_full_disk(folder: Path, share: float) -> Result:
    """Fill the disk."""
    if why := full_disk.why_not():
        return f"not done: {why}", [why]
    done = full_disk.rehearse(folder, max(1, round(40 * share)))
    return f"{done.rounds} disks filled, {done.refused} refusals, {done.acknowledged} acknowledged", done.wrong


def rehearse_stations(folder: Path, share: float) -> Result:
    """Let eight stations scan at one desk, together 50 scans a second for a minute."""
    done = stations.rehearse(folder, seconds=60 * share)
    rate = f"{done.sent} scans in {done.seconds:.0f} s, {done.acknowledged} acknowledged, {done.retried} sent again"
    return f"{rate}; median {done.median_ms:.0f} ms, 95th percentile {done.percentile_95_ms:.0f} ms", done.wrong


def rehearse_mutated(folder: Path, share: float) -> Result:
    """Send mutated inputs."""
    done = mutated.rehearse(folder, round(10_000 * share))
    kinds = ", ".join(f"{count} {kind} ({done.refused[kind]} refused)" for kind, count in done.taken.items())
    figures = f"{done.taken.total()} mutated inputs: {kinds}; {len(done.crashes)} crashes"
    return f"{figures}, {len(done.unforeseen)} unforeseen", [*done.crashes, *done.unforeseen, *done.wrong]


def rehearse_restore(folder: Path, share: float) -> Result:
    """Restore archives that were written beside a station at work."""
    done = restoring.rehearse(folder, max(1, round(10 * share)))
    return f"{done.archives} archives written and restored", done.wrong


def rehearse_tampering(folder: Path, _share: float) -> Result:
    """Alter every table and column."""
    done = tampered.rehearse(folder)
    figures = f"{done.altered} alterations of every table and column, {done.told} found by check"
    return f"{figures}, {done.refused} told when opened", [f"missed: {name}" for name in done.missed]


PARTS: dict[str, Callable[[Path, float], Result]] = {
    "kills": rehearse_kills,
    "errors": rehearse_errors,
    "power": rehearse_power,
    "full": rehearse_full_disk,
    "stations": rehearse_stations,
    "mutated": rehearse_mutated,
    "restore": rehearse_restore,
    "tampering": rehearse_tampering,
}
IN_MEMORY = {"power", "tampering"}
"""Parts that need no disk; the others must have one."""


def main() -> int:
    """Run what is asked for; return 1 where something was wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", help=", ".join(PARTS))
    parser.add_argument("--share", type=float, default=1.0, help="this share of each part, such as 0.1")
    asked = parser.parse_args()
    if unknown := set(asked.parts) - set(PARTS):
        parser.error(f"there is no part {', '.join(sorted(unknown))}")
    failed = False
    for name in asked.parts or PARTS:
        memory = name in IN_MEMORY and os.access(MEMORY, os.W_OK)
        with tempfile.TemporaryDirectory(dir=MEMORY if memory else None) as folder:
            begun = time.monotonic()
            figures, wrong = PARTS[name](Path(folder), asked.share)
        print(f"{name}: {figures}; {len(wrong)} wrong; {time.monotonic() - begun:.0f} s", flush=True)
        for line in wrong[:SHOWN]:
            print(f"  {line}", flush=True)
        failed |= bool(wrong)
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
