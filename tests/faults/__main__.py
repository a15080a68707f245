"""The full rehearsal of faults, with its numbers printed: `python -m tests.faults [--kills 500] [kills] [tampering]`.

Leaves with status 1 where something was lost, doubled or missed.
"""

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

from tests.faults import kills, tampered


def main() -> int:
    """Run what is asked for; return 1 where something was lost, doubled or missed."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("parts", nargs="*", help="kills, tampering; all if none is named")
    parser.add_argument("--kills", type=int, default=500)
    asked = parser.parse_args()
    parts = asked.parts or ["kills", "tampering"]
    memory = Path("/dev/shm")  # tampering needs no disk; kills must have one
    failed = False
    if "kills" in parts:
        with tempfile.TemporaryDirectory() as folder:
            begun = time.monotonic()
            report = kills.rehearse(Path(folder) / "library", asked.kills)
            print(f"{report.kills} kills in mid-scan, {report.acknowledged} scans acknowledged")
            print(f"  {len(report.lost)} lost, {len(report.doubled)} doubled, {len(report.findings)} findings")
            print(f"  {time.monotonic() - begun:.0f} s")
            failed |= bool(report.lost or report.doubled or report.findings)
    if "tampering" in parts:
        with tempfile.TemporaryDirectory(dir=memory if os.access(memory, os.W_OK) else None) as folder:
            begun = time.monotonic()
            found = tampered.rehearse(Path(folder))
            print(f"{found.altered} alterations of every table and column, {found.told} found by check")
            print(f"  {found.refused} told when opened, {len(found.missed)} missed")
            print(f"  {time.monotonic() - begun:.0f} s")
            for name in found.missed:
                print(f"  missed: {name}")
            failed |= bool(found.missed)
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
