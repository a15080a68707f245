"""Books and shelves for the tests of shelving; all invented."""

from hypothesis import strategies as st

from intake.model.shelving import Book, Space


def book(copy: str, thickness_mm: float = 30, *, height_mm: float = 250, mass_g: float = 1000, **more: object) -> Book:
    fields = {"copy": copy, "thickness_mm": thickness_mm, "height_mm": height_mm, "depth_mm": 200.0, "mass_g": mass_g}
    return Book(**{"name": copy, **fields, **more})  # type: ignore[arg-type] # the fields are those of Book


def space(shelf: str, width_mm: float = 100, **more: float) -> Space:
    return Space(shelf=shelf, width_mm=width_mm, name=shelf, **more)


@st.composite
def small_cases(draw: st.DrawFn) -> tuple[list[Book], list[Space]]:
    """Up to seven books and four shelves; sizes are whole numbers so that sums are exact."""
    books = [
        book(
            str(nth),
            draw(st.integers(5, 60)),
            height_mm=draw(st.sampled_from([200, 300, 400])),
            mass_g=draw(st.integers(1, 5)) * 500,
            set_id=draw(st.sampled_from([None, 1, 2])),
            growth_mm=draw(st.sampled_from([0, 0, 20])),
        )
        for nth in range(draw(st.integers(0, 7)))
    ]
    spaces = [
        space(
            f"s{nth}",
            draw(st.integers(40, 160)),
            height_mm=draw(st.sampled_from([250.0, 350.0, 450.0])),
            limit_g=draw(st.sampled_from([4000.0, 100000.0])),
            x_m=float(nth),
            y_m=draw(st.sampled_from([0.1, 1.5])),
        )
        for nth in range(draw(st.integers(1, 4)))
    ]
    return books, spaces
