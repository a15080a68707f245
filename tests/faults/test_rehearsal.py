"""The short form of the rehearsal of faults, as CI runs it; `python -m tests.faults` runs all and prints numbers."""

from pathlib import Path

import pytest

from intake.edges.store.tables import TABLES
from tests.faults import kills, tampered
from tests.faults.tampering import DATABASE
from tests.flow.safekeeping.conftest import make_library

KILLS = 12


@pytest.mark.slow
def test_no_scan_is_lost_or_doubled_by_a_kill(tmp_path: Path) -> None:
    report = kills.rehearse(tmp_path / "library", KILLS)
    assert (report.kills, report.lost, report.doubled, report.findings) == (KILLS, [], [], [])
    assert report.acknowledged > KILLS


@pytest.mark.slow
def test_every_tampering_is_found(tmp_path: Path) -> None:
    report = tampered.rehearse(tmp_path)
    assert report.missed == []
    assert report.altered > 1000


def test_one_tampering_of_each_table_is_found(tmp_path: Path) -> None:
    make_library(tmp_path / "whole")
    alterations = tampered.all_tamperings(tmp_path / "whole" / DATABASE)
    by_table = {each.name.partition(".")[0]: each for each in alterations if "." in each.name}
    assert len(by_table) > len(TABLES)
    report = tampered.rehearse(tmp_path, by_table.values())
    assert (report.missed, report.altered) == ([], len(by_table))
