"""Estimates, marked as such; the paper arithmetic is the trade's formula (leaves x grammage x bulk)."""

import pytest

from intake.model.editions import Copy, Edition
from intake.model.places import Place, PlaceKind
from intake.shelving.sizes import UNKNOWN_THICKNESS_MM, book, free_mm


def test_what_was_measured_is_used_and_nothing_is_marked() -> None:
    edition = Edition(id=1, title="Gulls", height_mm=300, width_mm=220, thickness_mm=28, mass_g=1600)
    found = book(Copy(accession="A1-59", edition_id=1), edition)
    assert (found.thickness_mm, found.height_mm, found.depth_mm, found.mass_g) == (28, 300, 220, 1600)
    assert found.estimated == ()


def test_thickness_from_the_extent() -> None:
    # 320 pages of 150 g/m² at bulk 0.9: 160 x 0.135 = 21.6 mm, and two boards of 2.5 mm with their paper.
    found = book(Copy(accession="A1-59", edition_id=1), Edition(id=1, title="Gulls", pages=320))
    assert found.thickness_mm == pytest.approx(160 * 0.135 + 5, abs=1)
    assert found.estimated == ("thickness", "height", "depth", "mass")


def test_nothing_known() -> None:
    found = book(Copy(accession="A1-59", edition_id=1), Edition(id=1, title="Gulls"), name="A Guide", growth_mm=12)
    assert found.thickness_mm == UNKNOWN_THICKNESS_MM
    assert (found.name, found.growth_mm) == ("A Guide", 12)
    # 240 mm high, 0.77 of it deep, 0.9 g/cm3.
    assert (found.height_mm, found.depth_mm) == pytest.approx((240, 184.8))
    assert found.mass_g == pytest.approx(30 * 240 * 184.8 * 0.0009)


def test_each_size_that_is_known_is_not_estimated() -> None:
    found = book(
        Copy(accession="A1-59", edition_id=1), Edition(id=1, title="Gulls", height_mm=300, thickness_mm=20, set_id=7)
    )
    assert found.estimated == ("depth", "mass")
    assert found.depth_mm == pytest.approx(231)
    assert found.set_id == 7
    # 200 pages: 100 leaves of 0.13 mm and two boards of 3 mm.
    assert book(Copy(accession="A1-59", edition_id=1), Edition(id=1, title="Gulls", pages=200)).thickness_mm == 19


def test_what_is_free_on_a_shelf() -> None:
    shelf = Place(number="S1-00", kind=PlaceKind.SHELF, name="1", width_mm=800)
    standing = [(Copy(accession=f"A{n}", edition_id=n), Edition(id=n, title="x", thickness_mm=25)) for n in (1, 2)]
    assert free_mm(shelf, standing) == 750
    assert free_mm(shelf, []) == 800
    assert free_mm(Place(number="S1-00", kind=PlaceKind.SHELF, name="1"), standing) is None
