"""What a shelf lacks for its books; sizes by hand."""

from dataclasses import replace

from intake.model.places import Place, PlaceKind
from intake.shelving.excess import Excess, ShelfLimit, find_excess
from tests.shelving.making import book

SHELF = Place(
    number="S3-81", kind=PlaceKind.SHELF, name="1", width_mm=100, height_mm=250, depth_mm=200, rated_g=3_000
)  # fmt: skip


def test_what_just_fits_exceeds_nothing() -> None:
    assert find_excess(SHELF, [book("a", 50, mass_g=1500), book("b", 50, mass_g=1500)]) == ()


def test_length_and_load_are_of_all_books_together() -> None:
    books = [book("a", 50, mass_g=1500), book("b", 51, mass_g=1501, estimated=("mass",))]
    assert find_excess(SHELF, books) == (
        Excess(ShelfLimit.LENGTH, 101, 100),
        Excess(ShelfLimit.LOAD, 3001, 3000, estimated=True),
    )


def test_height_and_depth_are_of_each_book() -> None:
    books = [
        book("a", 10, height_mm=251, mass_g=100),
        book("b", 10, height_mm=260, mass_g=100, estimated=("height",)),
        book("c", 10, mass_g=100, depth_mm=201.0),
    ]
    assert find_excess(SHELF, books) == (
        Excess(ShelfLimit.HEIGHT, 260, 250, ("a", "b"), estimated=True),
        Excess(ShelfLimit.DEPTH, 201, 200, ("c",)),
    )


def test_what_is_not_known_is_not_exceeded() -> None:
    bare = replace(SHELF, width_mm=None, height_mm=None, depth_mm=None, rated_g=None)
    assert find_excess(bare, [book("a", 5000, height_mm=5000, mass_g=1e6)]) == ()
