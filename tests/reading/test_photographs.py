"""Real photographs: so many are read at least, and no wrong number is ever accepted. Floors only rise."""

from collections import Counter

import pytest

from intake.edges.pictures import load
from intake.model.readings import Reading
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder, available
from intake.reading.read import read
from tests.reading.drawing import invented
from tests.reading.photographs import ABSENT, FOLDER, Photograph, photographs

pytestmark = pytest.mark.skipif(not FOLDER.is_dir(), reason=ABSENT)

BOTH = available()
SETTINGS = {
    "both decoders": (
        BOTH,
        {"ean13-2": 28, "ean13-4": 22, "upca-2": 52, "upca-5": 35, "upca-6": 17, "upca-addon": 6},
    ),
    "zxing alone": (
        BOTH[:1],
        {"ean13-2": 28, "ean13-4": 22, "upca-2": 50, "upca-5": 34, "upca-6": 10, "upca-addon": 6},
    ),
}


WITH_CATALOG = {"ean13-2": 28, "ean13-4": 22, "upca-2": 52, "upca-5": 35, "upca-6": 17, "upca-addon": 6}


def accepted(photograph: Photograph, decoders: tuple[Decoder, ...], known: CodeBook | None = None) -> list[Reading]:
    found = read(load(photograph.path).grey, decoders=decoders, known=known)
    return [reading for reading in found if reading.accepted]


def catalog(*, with_the_printed: bool) -> CodeBook:
    """Make a catalog of about 10,000 numbers that holds those in the photographs, or none of them."""
    printed = {photograph.number for photograph in photographs() if photograph.number}
    strangers = set(invented(10_000)) - printed
    return CodeBook.of(strangers | printed if with_the_printed else strangers)


@pytest.mark.slow
@pytest.mark.parametrize("setting", SETTINGS)
def test_floors_are_held_and_nothing_wrong_is_accepted(setting: str) -> None:
    decoders, floors = SETTINGS[setting]
    if setting == "both decoders" and len(decoders) < 2:
        pytest.skip("ZBar's shared library is not installed")
    right: Counter[str] = Counter()
    wrong: list[tuple[str, str]] = []
    for photograph in photographs():
        found = accepted(photograph, decoders)
        right[photograph.group] += any(reading.number == photograph.number for reading in found)
        wrong += [(photograph.path.name, each.number) for each in found if not photograph.shows(each.number)]
        if photograph.add_on:
            assert all(reading.add_on in (None, photograph.add_on) for reading in found)
    assert wrong == []
    assert {group: right[group] for group in floors if right[group] < floors[group]} == {}


@pytest.mark.slow
@pytest.mark.parametrize("with_the_printed", [True, False])
def test_a_catalog_adds_right_numbers_and_pulls_none_to_a_neighbour(with_the_printed: bool) -> None:
    known = catalog(with_the_printed=with_the_printed)
    floors = WITH_CATALOG if with_the_printed else SETTINGS["both decoders"][1]
    right: Counter[str] = Counter()
    for photograph in photographs():
        found = accepted(photograph, BOTH, known)
        assert [each.number for each in found if not photograph.shows(each.number)] == []
        right[photograph.group] += any(reading.number == photograph.number for reading in found)
    assert len(BOTH) < 2 or {group: right[group] for group in floors if right[group] < floors[group]} == {}


def test_supplements_of_small_photographs() -> None:
    shown = [photograph for photograph in photographs() if photograph.add_on]
    read_with = [accepted(photograph, BOTH) for photograph in shown]
    assert [[(r.number, r.add_on) for r in each] for each in read_with] == [[(p.number, p.add_on)] for p in shown]


def test_nothing_is_read_where_nothing_is_printed() -> None:
    for photograph in photographs()[::-1][:25:3]:
        assert photograph.number is None
        assert accepted(photograph, BOTH) == []
