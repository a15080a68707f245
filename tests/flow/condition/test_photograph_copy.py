"""A picture of a copy: kept once, with a sighting and what it shows. Invented."""

import io
from pathlib import Path

import pytest
from PIL import Image

from intake.edges.store.library import Library
from intake.edges.store.queries.condition import copy_pictures
from intake.edges.store.queries.sightings import sightings_of
from intake.errors import FileError, RefusedError
from intake.flow.condition.condition_report import Inspection, report_condition
from intake.flow.condition.number_lines import read_number_line
from intake.flow.condition.photograph_copy import photograph_copy
from intake.model.editions import Grade
from intake.model.sightings import Picture
from tests.flow.conftest import NOW


def png(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "PNG")
    return out.getvalue()


def test_it_is_kept_with_its_note_its_report_and_a_sighting(library: Library) -> None:
    report = report_condition(library, "1", Inspection(grade=Grade.GOOD), station="desk", now=NOW).report
    copy, entry = photograph_copy(library, "1", png("red"), note="jacket", report=report.id, station="desk", now=NOW)
    with library.reading() as records:
        (shown,) = copy_pictures(records, "A1-59")
        sighting = sightings_of(records, "A1-59")[-1]
        picture = records.get(Picture, shown.picture)
    assert (copy.accession, entry.action.subject, entry.action.note) == ("A1-59", "A1-59", "jacket")
    assert (shown.note, shown.report, sighting.picture, sighting.methods) == (
        "jacket", report.id, shown.picture, "photograph",
    )  # fmt: skip
    assert picture is not None
    stored = library.picture_path(shown.picture)
    assert stored is not None
    assert Path(stored).read_bytes() == png("red")


def test_the_same_picture_of_two_copies_is_one_file_and_another_is_another(library: Library) -> None:
    for copy, colour in (("1", "red"), ("2", "red"), ("2", "blue")):
        photograph_copy(library, copy, png(colour), station="desk", now=NOW)
    with library.reading() as records:
        first, second = ([one.picture for one in copy_pictures(records, copy)] for copy in ("A1-59", "A2-50"))
        assert len(records.all(Picture)) == 2
    assert (len(first), len(second), first[0] in second) == (1, 2, True)


def test_what_is_no_picture_or_no_copy_is_refused(library: Library) -> None:
    with pytest.raises(FileError):
        photograph_copy(library, "1", b"no picture", station="desk", now=NOW)
    with pytest.raises(RefusedError):
        photograph_copy(library, "99", png("red"), station="desk", now=NOW)
    with library.reading() as records:
        assert copy_pictures(records, "A1-59") == ()


def test_a_printers_key_names_the_printing() -> None:
    """The lowest number that is left, as the trade reads it."""
    assert read_number_line("10 9 8 7 6 5 4 3").printing == 3
    assert read_number_line("no line").printing is None
