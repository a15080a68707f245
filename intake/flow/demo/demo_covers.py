"""The demonstration's covers: pictures taken at packing, by which a book is known later, and damage is found."""

from collections.abc import Callable
from pathlib import Path

from intake.edges import clock, demo_scans
from intake.edges.store.library import Library
from intake.flow.condition.change_words import copy_change_lines
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.condition.picture_changes import changes_of_copy, save_pair

WriteLine = Callable[[str], None]


def photograph_at_packing(library: Library, scans: Path, write_line: WriteLine, *, station: str) -> None:
    """Keep the pictures that were taken at packing."""
    for path in demo_scans.at_packing(scans):
        copy, _ = photograph_copy(
            library, path.stem, path.read_bytes(), note="at packing", station=station, now=clock.now()
        )
        write_line(f"  {path.name}  a picture of copy {copy.accession}, taken at packing")


def look_for_damage(library: Library, scans: Path, folder: Path, write_line: WriteLine) -> None:
    """Compare the copies that were photographed at packing with their pictures on arrival."""
    for path in demo_scans.at_packing(scans):
        changes = changes_of_copy(library, path.stem)
        for line in copy_change_lines(changes):
            write_line(f"  {line}")
        if changes.pair is not None and changes.pair.found.changes:
            target = folder / f"look-here-{path.stem}.jpg"
            save_pair(library, changes.pair, target)
            write_line(f"  {target}  both covers, the places outlined")
