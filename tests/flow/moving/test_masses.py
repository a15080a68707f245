"""What a copy weighs and measures: as stated, by paper arithmetic, or like the middle of the collection; by hand."""

import statistics
from typing import Any

import pytest

from intake.flow.moving.masses import NOTHING_KNOWN, doubt_words, learn
from intake.model.editions import Edition
from intake.weighing import paper
from intake.weighing.guess_contents import NO_HEIGHT, NO_THICKNESS
from intake.weighing.plausible import contradicts


def edition(number: int = 1, **fields: float | str | None) -> Edition:
    return Edition(id=number, title="Ferns", **fields)  # type: ignore[arg-type] # fields by name


@pytest.mark.parametrize(("grams", "sigma"), [(1000, 20), (500, 10), (300, 10), (2500, 50)])
def test_a_stated_mass_is_two_percent_sure_and_never_better_than_ten_grams(grams: float, sigma: float) -> None:
    found = learn([]).of(edition(mass_g=grams)).mass_g
    assert (found.mean, found.sigma) == (grams, sigma)


def test_a_mass_by_paper_arithmetic_where_none_is_stated() -> None:
    described = edition(height_mm=300.0, width_mm=200.0, pages=200, binding="softcover")
    expected = paper.estimate_mass(height_mm=300, width_mm=200, pages=200, binding=paper.SOFT)
    assert learn([]).of(described).mass_g == expected
    assert learn([]).of(edition(mass_g=0.0)).mass_g == NOTHING_KNOWN


def test_three_stated_masses_make_a_middle() -> None:
    two = [edition(n, mass_g=mass) for n, mass in enumerate((500.0, 900.0))]
    assert learn(two).of(edition(9)).mass_g == NOTHING_KNOWN
    three = learn([*two, edition(3, mass_g=1000.0), edition(4), edition(5, mass_g=-1.0)]).of(edition(9)).mass_g
    assert three.mean == 900
    assert three.sigma == pytest.approx(statistics.stdev([500, 900, 1000]))
    alike = learn([edition(n, mass_g=800.0) for n in range(3)]).of(edition(9)).mass_g
    assert (alike.mean, alike.sigma) == (800, 10)


def test_measured_copies_mend_the_others() -> None:
    # Each book weighs 1.2 times what paper arithmetic says: a line through five says so of the sixth.
    books = [edition(n, height_mm=200.0 + 20 * n, width_mm=150.0 + 15 * n, pages=100 + 40 * n) for n in range(6)]
    plain = [learn([]).of(book).mass_g.mean for book in books]
    measured = [edition(n, height_mm=book.height_mm, width_mm=book.width_mm, pages=book.pages, mass_g=1.2 * mass)
                for n, (book, mass) in enumerate(zip(books[:5], plain[:5], strict=True))]  # fmt: skip
    mended = learn(measured)
    assert mended.of(books[5]).mass_g.mean == pytest.approx(1.2 * plain[5], rel=1e-6)
    assert mended.regression is not None
    assert mended.regression.count == 5
    assert learn(measured[:4]).of(books[5]).mass_g.mean == plain[5]
    assert mended.words() != learn(measured[:4]).words()


def test_sizes_as_stated_or_supposed() -> None:
    stated = learn([]).of(edition(height_mm=300.0, width_mm=210.0, thickness_mm=25.0))
    assert list(stated.size_mm) == [300, 210, 25]
    assert (stated.height_mm.sigma, stated.width_mm.sigma, stated.thickness_mm.sigma) == (2, 2, 1)
    unknown = learn([]).of(edition())
    assert (unknown.height_mm, unknown.thickness_mm) == (NO_HEIGHT, NO_THICKNESS)
    by_pages = learn([]).of(edition(pages=200, binding="stapled"))
    assert by_pages.thickness_mm == paper.estimate_thickness(pages=200, binding=paper.SOFT)


def test_a_mass_and_a_size_that_no_book_has_are_not_used() -> None:
    # 3.5 lb written as 3.5 kg, with 2145 cm3: 1.63 g/cm3. The mass by extent and trim size is taken, or the middle.
    sizes: dict[str, Any] = {"height_mm": 269.0, "width_mm": 224.0, "thickness_mm": 35.6}
    wrong = edition(mass_g=3500.0, **sizes)
    assert contradicts(wrong)
    assert not contradicts(edition(mass_g=1588.0, **sizes))
    assert learn([]).of(wrong).mass_g == NOTHING_KNOWN
    assert learn([]).of(wrong).thickness_mm == learn([]).of(edition(height_mm=269.0, width_mm=224.0)).thickness_mm
    described = learn([]).of(edition(mass_g=3500.0, pages=270, **sizes))
    assert described.mass_g == paper.estimate_mass(height_mm=269, width_mm=224, pages=270)
    # Nothing is learned from it: neither the middle nor the line.
    right = [edition(n, mass_g=1000.0 + n) for n in range(3)]
    assert learn([*right, *(edition(9 + n, mass_g=3500.0, **sizes) for n in range(5))]).middle == learn(right).middle


def test_what_is_doubted_is_named_and_many_are_counted() -> None:
    assert doubt_words([]) == ""
    assert doubt_words(["A1 Gulls"]).endswith("correct the catalog: A1 Gulls.")
    assert doubt_words([f"A{n}" for n in range(7)]).endswith("A0; A1; A2; A3; A4 and 2 more.")
