"""Real photographs: so many are read at least, and no wrong number is ever accepted. Floors only rise."""

from collections import Counter

import pytest

from intake.edges.pictures import load
from intake.model.readings import Reading
from intake.reading.decoders import Decoder, available
from intake.reading.read import read
from tests.reading.photographs import ABSENT, FOLDER, Photograph, photographs

pytestmark = pytest.mark.skipif(not FOLDER.is_dir(), reason=ABSENT)

BOTH = available()
SETTINGS = {
    "both decoders": (
        BOTH,
        {"ean13-2": 28, "ean13-4": 22, "upca-2": 47, "upca-5": 34, "upca-6": 0, "upca-addon": 6},
    ),
    "zxing alone": (
        BOTH[:1],
        {"ean13-2": 27, "ean13-4": 21, "upca-2": 46, "upca-5": 31, "upca-6": 0, "upca-addon": 6},
    ),
}


def accepted(photograph: Photograph, decoders: tuple[Decoder, ...]) -> list[Reading]:
    return [reading for reading in read(load(photograph.path).grey, decoders=decoders) if reading.accepted]


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


def test_supplements_of_small_photographs() -> None:
    shown = [photograph for photograph in photographs() if photograph.add_on]
    read_with = [accepted(photograph, BOTH) for photograph in shown]
    assert [[(r.number, r.add_on) for r in each] for each in read_with] == [[(p.number, p.add_on)] for p in shown]


def test_nothing_is_read_where_nothing_is_printed() -> None:
    for photograph in photographs()[::-1][:25:3]:
        assert photograph.number is None
        assert accepted(photograph, BOTH) == []
