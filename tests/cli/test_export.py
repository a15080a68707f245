"""`intake export` and `intake import` of records, as a person runs them."""

import csv
from pathlib import Path

import pytest

from tests.cli.conftest import Intake
from tests.edges.exchange.marc_data import iso2709


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("editions", "a.csv"), "a.csv: wrote"),
        (("editions", "a.xlsx"), "a.xlsx: wrote"),
        (("editions", "a.mrc"), "a.mrc: wrote"),
        (("editions", "a.xml", "--format", "onix"), "a.xml: wrote"),
        (("copies", "a.xml", "--format", "marcxml"), "a.xml: wrote"),
    ],
)
def test_an_export_says_what_it_wrote(stocked: Intake, tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    result = stocked("export", *words)
    assert (result.status, result.err) == (0, "")
    assert result.out.splitlines()[-1].startswith(said)
    assert (tmp_path / words[1]).stat().st_size > 0


def test_xml_without_a_format_is_refused_naming_both(stocked: Intake, tmp_path: Path) -> None:
    result = stocked("export", "editions", "a.xml")
    assert result.status == 2
    assert "--format marcxml or --format onix" in result.err
    assert not (tmp_path / "a.xml").exists()


def test_without_a_library_nothing_is_written(intake: Intake, tmp_path: Path) -> None:
    assert intake("export", "editions", "a.csv").status != 0
    assert list(tmp_path.iterdir()) == []


def test_a_file_of_marc_comes_in_by_its_content_and_says_what_it_left_out(intake: Intake, tmp_path: Path) -> None:
    salt = iso2709(("001", b"S1"), ("245", b"00\x1faSalt /\x1fcA. W."), ("520", b"  \x1faOf the sea"))
    (tmp_path / "books.dat").write_bytes(salt + salt[:30] + b"\x1d")
    result = intake("import", "editions", "books.dat", "--dry-run")
    assert result.status == 1
    assert "books.dat record 2: " in result.out
    result = intake("import", "editions", "books.dat", "--skip-bad-rows")
    assert result.status == 0
    assert "520 (summary) has no field here and was left out: once, in record 1: 'Of the sea'" in result.out
    assert "245 $c (title statement)" in result.out
    assert "made 1 edition, altered nothing" in result.out


def test_a_cost_counts_from_the_day_on_which_the_item_was_acquired(intake: Intake, tmp_path: Path) -> None:
    """MARC 21 Format for Holdings Data, 876: $c cost, $d date acquired."""
    item = b"  \x1fcEUR 95.00"
    salt = iso2709(("001", b"S1"), ("245", b"00\x1faSalt"), ("876", item + b"\x1fd20190507"), ("876", item))
    (tmp_path / "books.mrc").write_bytes(salt)
    assert intake("import", "editions", "books.mrc").status == 0
    result = intake("import", "copies", "books.mrc")
    assert (result.status, result.err) == (0, "")
    assert "1 value that the list does not date is dated today" in result.out
    assert intake("export", "copies", "copies.csv").status == 0
    with (tmp_path / "copies.csv").open(encoding="utf-8-sig", newline="") as file:
        first, second = csv.DictReader(file)
    assert (first["value"], first["valued_on"]) == ("95.00", "2019-05-07")
    assert second["valued_on"] > first["valued_on"]


def test_marc_records_are_no_list_of_boxes(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "books.mrc").write_bytes(iso2709(("245", b"00\x1faSalt")))
    result = intake("import", "boxes", "books.mrc")
    assert result.status == 2
    assert "MARC 21 records, which give no list of boxes" in result.err
