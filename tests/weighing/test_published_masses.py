"""Estimated masses against published masses of real books, with nothing known of their paper.

Sizes and masses as printed in reviews and a publisher's catalogue, seen in copies: they are rounded, and one includes
its stand according to some. They are the only check there is on the supposed paper as a whole.
"""

from dataclasses import dataclass
from typing import Any

import pytest

from intake.weighing import paper


@dataclass(frozen=True)
class PublishedMass:
    pages: int | None
    height_mm: float
    width_mm: float
    thickness_mm: float
    mass_g: float
    binding: paper.Binding = paper.CASE


PUBLISHED = {
    # The Art Museum (Phaidon 2011): 992 pages, 420 x 320 mm, 70 mm thick, "nearly 8 kg".
    "The Art Museum": PublishedMass(992, 420, 320, 70, 8_000),
    # H. Newton, SUMO (Taschen 1999): 464 pages, 500 x 700 mm, just under 4 in thick, 30 kg or 66 lb.
    "SUMO of 1999": PublishedMass(464, 700, 500, 100, 30_000),
    # A. Leibovitz, SUMO (Taschen 2014): 476 pages, 500 x 690 mm, 3 in thick, 57 lb or 26 kg (in one place with stand).
    "SUMO of 2014": PublishedMass(476, 690, 500, 76, 26_000),
    # Harry Potter and the Chamber of Secrets, illustrated (Scholastic 2016): 269 x 224 x 35.6 mm, 3.5 lb.
    "Chamber of Secrets": PublishedMass(None, 269, 224, 35.6, 1_588),
    # A paperback measured without its title: 235 x 157 x 15 mm, 405 g.
    "a paperback": PublishedMass(None, 235, 157, 15, 405, paper.SOFT),
}
BOOKS = pytest.mark.parametrize("book", PUBLISHED.values(), ids=PUBLISHED)


@BOOKS
def test_a_published_mass_is_within_two_standard_uncertainties(book: PublishedMass) -> None:
    sizes: dict[str, Any] = {"height_mm": book.height_mm, "width_mm": book.width_mm}
    by_thickness = paper.estimate_mass(**sizes, thickness_mm=book.thickness_mm, binding=book.binding)
    everything = paper.estimate_mass(**sizes, pages=book.pages, thickness_mm=book.thickness_mm, binding=book.binding)
    by_extent = paper.estimate_mass(**sizes, pages=book.pages, binding=book.binding)
    for estimate in (by_thickness, everything, by_extent):
        if estimate is not None:
            assert abs(estimate.mean - book.mass_g) <= 2 * estimate.sigma
            assert estimate.relative < 0.35
    assert (by_extent is None) == (book.pages is None)


@BOOKS
def test_a_published_thickness_follows_from_the_mass(book: PublishedMass) -> None:
    found = paper.estimate_thickness(
        pages=book.pages, mass_g=book.mass_g, height_mm=book.height_mm, width_mm=book.width_mm, binding=book.binding
    )
    assert found is not None
    assert abs(found.mean - book.thickness_mm) <= 2 * found.sigma


@BOOKS
def test_a_published_book_is_plausible_and_the_same_with_a_slip_is_not(book: PublishedMass) -> None:
    def plausible(mass_g: float, thickness_mm: float) -> bool:
        return paper.is_plausible(
            mass_g=mass_g,
            height_mm=book.height_mm,
            width_mm=book.width_mm,
            thickness_mm=thickness_mm,
            pages=book.pages,
        )

    assert plausible(book.mass_g, book.thickness_mm)
    assert 0.7 <= paper.density(book.mass_g, book.height_mm, book.width_mm, book.thickness_mm) <= 1.0
    # Pounds written as kilograms, centimetres as millimetres and the other way round; no thickness contradicts nothing.
    assert not plausible(book.mass_g / 0.45359237, book.thickness_mm)
    assert not plausible(book.mass_g, book.thickness_mm / 10)
    assert not plausible(book.mass_g, book.thickness_mm * 10)
    assert plausible(book.mass_g, 0)


def test_densities_at_the_limits() -> None:
    # 250 x 200 x 40 mm are 2000 cm3: 800 g to 2600 g.
    for mass_g, right in ((799, False), (800, True), (2600, True), (2601, False)):
        assert paper.is_plausible(mass_g=mass_g, height_mm=250, width_mm=200, thickness_mm=40) is right
    # 400 pages are 200 leaves: 4 mm of the thinnest, 120 mm of the thickest and two boards of 2.5 mm; with fewer than
    # fifty pages a leaf may be a board.
    for thickness_mm, right in ((3.9, False), (4, True), (125, True), (126, False)):
        assert (
            paper.is_plausible(mass_g=None, height_mm=250, width_mm=200, thickness_mm=thickness_mm, pages=400) is right
        )
    assert paper.is_plausible(mass_g=None, height_mm=250, width_mm=200, thickness_mm=60, pages=49)


def test_where_extent_and_thickness_disagree_the_thickness_is_taken() -> None:
    # 100 pages that are 40 mm thick: by the thickness 300 x 200 x 35 mm / 1.05 = 2000 g of leaves, by the extent 345 g.
    by_thickness = paper.estimate_mass(height_mm=300, width_mm=200, thickness_mm=40)
    both = paper.estimate_mass(height_mm=300, width_mm=200, thickness_mm=40, pages=100)
    assert both == by_thickness
    assert both is not None
    assert both.how == "from its thickness and trim size"


def test_worked_examples_of_the_trade() -> None:
    # 128 pages of 50-pound offset at 0.0039 in a leaf are a quarter of an inch thick (a printer's calculator, seen in a
    # copy); here with the grammage 74 and the bulk that give this leaf.
    assert paper.block_mm(128, 74, 0.0039 * 25.4 / 74 * 1000) / 25.4 == pytest.approx(0.25, abs=0.001)
    # The British formula, pages x grammage x volume / 20000 with a volume of ten times the bulk (from memory).
    assert paper.block_mm(480, 90, 1.2) == pytest.approx(480 * 90 * 12 / 20_000)
