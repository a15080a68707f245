"""The short form of the rehearsal of faults, as CI runs it; `python -m tests.faults` runs all and prints numbers."""

from pathlib import Path

import pytest

from intake.edges.store.tables import TABLES
from tests.faults import full_disk, kills, mutated, power_cuts, recording, restoring, stations, tampered, write_errors
from tests.faults.tampering import DATABASE
from tests.flow.safekeeping.conftest import make_library

KILLS = 10

traced = pytest.mark.skipif(bool(recording.why_not()), reason=recording.why_not())


@pytest.mark.slow
def test_no_scan_is_lost_or_doubled_by_a_kill(tmp_path: Path) -> None:
    report = kills.rehearse(tmp_path / "library", KILLS)
    assert (report.kills, report.wrong) == (KILLS, [])
    assert report.acknowledged > KILLS


@pytest.mark.slow
@traced
def test_a_disk_that_reports_errors_loses_nothing(tmp_path: Path) -> None:
    report = write_errors.rehearse(tmp_path, step=97)
    assert report.wrong == []
    assert report.refused > 0
    assert report.acknowledged > 0


@pytest.mark.slow
@traced
def test_a_power_cut_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    """What SQLite promises of WAL mode with synchronous=FULL, and what the pictures' files must keep too."""
    report = power_cuts.rehearse(tmp_path, 10, sessions=2, share=0.15)
    assert report.wrong == []
    assert report.states > 100
    assert report.different > 10


@pytest.mark.slow
@pytest.mark.skipif(bool(full_disk.why_not()), reason=full_disk.why_not())
def test_a_full_disk_loses_nothing(tmp_path: Path) -> None:
    report = full_disk.rehearse(tmp_path, 2)
    assert report.wrong == []
    assert report.refused > 0


@pytest.mark.slow
def test_no_scan_of_eight_stations_is_lost_or_doubled(tmp_path: Path) -> None:
    """How long they take is not asserted; `python -m tests.faults stations` prints it."""
    report = stations.rehearse(tmp_path, per_second=20, seconds=3)
    assert report.wrong == []
    assert (report.sent, report.acknowledged) == (60, 60)


@pytest.mark.slow
def test_a_mutated_input_is_answered_by_a_sentence(tmp_path: Path) -> None:
    report = mutated.rehearse(tmp_path, 160)
    assert [*report.crashes, *report.unforeseen, *report.wrong] == []
    assert report.taken.total() == 160
    assert all(report.refused[kind] for kind in ("pictures", "lists", "archives"))


@pytest.mark.slow
def test_an_archive_written_beside_a_station_gives_everything_back(tmp_path: Path) -> None:
    report = restoring.rehearse(tmp_path, 1)
    assert (report.archives, report.wrong) == (2, [])


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
