"""Each tampering with a copy of one library, and whether it is found."""

import shutil
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from intake.edges.store.library import open_library
from intake.errors import IntakeError
from intake.flow.safekeeping.check_library import check_library
from intake.flow.safekeeping.finding_words import report_lines
from intake.model.findings import CheckReport, FindingKind
from tests.faults.tampering import DATABASE, Tampering, is_effective, schema_tamperings, tamperings
from tests.flow.safekeeping.conftest import make_library

NOTES = {"counter.last: a number": FindingKind.NUMBERS_SKIPPED}
"""A counter that is too high passes numbers over, which a step that was cut off does too: told as a note."""


@dataclass
class TamperReport:
    """How many alterations the database took, and which of them were found."""

    altered: int = 0
    told: int = 0
    refused: int = 0
    missed: list[str] = field(default_factory=list)


def all_tamperings(database: Path) -> list[Tampering]:
    """Return every alteration."""
    return [*tamperings(database), *schema_tamperings(database)]


def rehearse(folder: Path, alterations: Iterable[Tampering] | None = None) -> TamperReport:
    """Tamper with copies of a library with a record of every kind; those of `alterations`, or all."""
    whole, work, report = folder / "whole", folder / "work", TamperReport()
    if not whole.exists():
        make_library(whole)
    with open_library(whole) as library:
        sound = check_library(library)
    for tampering in all_tamperings(whole / DATABASE) if alterations is None else alterations:
        shutil.rmtree(work, ignore_errors=True)
        shutil.copytree(whole, work)
        if is_effective(work / DATABASE, tampering):
            report.altered += 1
            _note(report, tampering, work, sound)
    return report


def _note(report: TamperReport, tampering: Tampering, work: Path, sound: CheckReport) -> None:
    try:
        with open_library(work) as library:
            checked = check_library(library)
        report_lines(checked)
    except IntakeError:
        report.refused += 1
        return
    new = [finding for finding in checked.findings if finding not in sound.findings]
    if any(not finding.kind.is_note or finding.kind is NOTES.get(tampering.name) for finding in new):
        report.told += 1
    else:
        report.missed.append(tampering.name)
