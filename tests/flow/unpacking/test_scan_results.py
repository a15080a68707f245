"""Readings as scans, and the answers a person may give."""

from dataclasses import replace

import pytest

from intake.flow.unpacking.scan_results import (
    Disposition,
    Option,
    Question,
    Scan,
    defer_to_queue,
    number_of,
    option_words,
    scan_of,
)
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import NumberKind
from intake.model.readings import Reading
from intake.model.sightings import Picture

BEST, SECOND, THIRD = "9780306406157", "9783161484100", "9780804429573"
PICTURE = Picture(sha256="0" * 64, name="", media_type="image/png", width_px=4, height_px=3)
READING = Reading(BEST, NumberKind.ISBN, False, 0.9, ("grey",), candidates=(BEST, SECOND, THIRD))
GULLS = Edition(id=1, title="A Guide to Gulls")
PACKED = Copy(accession="A1-59", edition_id=1, state=CopyState.PACKED, box="B1-56")


def test_a_doubtful_reading_brings_the_other_numbers_it_may_be_best_first() -> None:
    scan = scan_of(READING, PICTURE, "r1")
    assert scan == Scan(BEST, "r1", trusted=False, methods=("grey",), picture=PICTURE, others=(SECOND, THIRD))


def test_an_accepted_reading_is_trusted_and_brings_no_other() -> None:
    scan = scan_of(replace(READING, accepted=True), PICTURE, "r1")
    assert (scan.trusted, scan.others) == (True, ())


@pytest.mark.parametrize(("add_on", "text"), [(None, BEST), ("", BEST), ("05", f"{BEST} 05")])
def test_a_supplement_is_part_of_the_number(add_on: str | None, text: str) -> None:
    assert number_of(replace(READING, add_on=add_on)) == text


def test_each_answer_is_written_differently() -> None:
    options = (
        Option(Disposition.BOOK, GULLS, PACKED),
        Option(Disposition.BOOK, GULLS, replace(PACKED, state=CopyState.AT_HAND, box=None)),
        Option(Disposition.AGAIN, GULLS, replace(PACKED, state=CopyState.UNPACKED)),
        Option(Disposition.NEW_COPY, GULLS, None),
    )
    listed, loose, again, new = (option_words(option) for option in options)
    assert len({listed, loose, again, new}) == 4
    assert ["A1-59" in words for words in (listed, loose, again, new)] == [True, True, True, False]
    assert ["B1-56" in words for words in (listed, loose, again, new)] == [True, False, False, False]


def test_where_nobody_can_be_asked_it_waits() -> None:
    question = Question(Scan(BEST, "r1"), "B1-56", (), (Option(Disposition.BOOK, GULLS, PACKED),))
    assert defer_to_queue(question) is None
