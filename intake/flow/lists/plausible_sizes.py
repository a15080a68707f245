"""Between which sizes books, boxes and shelves lie: common practice, no source; wide enough for all but the odd one.

The inner bounds are for the middle one of a column and tell millimetres from centimetres; beyond the outer ones a
person is asked about a single row.
"""

from collections.abc import Mapping

Bounds = Mapping[str, tuple[float, float]]

USUAL: Mapping[str, Bounds] = {
    "editions": {
        "size": (90, 600),
        "height_mm": (90, 600),
        "width_mm": (70, 500),
        "thickness_mm": (4, 100),
        "mass_g": (40, 8000),
    },
    "boxes": {
        "length_mm": (150, 1500),
        "width_mm": (150, 1200),
        "height_mm": (100, 1200),
        "tare_g": (80, 6000),
        "gross_g": (1000, 80_000),
    },
    "places": {
        "width_mm": (150, 3000),
        "height_mm": (100, 2500),
        "depth_mm": (100, 1000),
        "board_mm": (8, 80),
        "span_mm": (150, 3000),
        "rated_kg": (5000, 500_000),
        "bookcase_width_mm": (200, 4000),
        "bookcase_depth_mm": (100, 1000),
        "bookcase_mass_kg": (3000, 500_000),
    },
}
"""By list and field: mm or g of the middle one."""

ODD: Mapping[str, Bounds] = {
    "editions": {
        "height_mm": (40, 1100),
        "width_mm": (30, 1000),
        "thickness_mm": (1, 200),
        "mass_g": (5, 30_000),
    },
    "boxes": {
        "length_mm": (80, 2500),
        "width_mm": (80, 2500),
        "height_mm": (80, 2500),
        "tare_g": (20, 30_000),
        "gross_g": (200, 200_000),
    },
    "places": {
        "width_mm": (20, 8000),
        "height_mm": (40, 4000),
        "depth_mm": (40, 2000),
        "board_mm": (3, 150),
        "span_mm": (20, 8000),
        "rated_kg": (500, 2_000_000),
    },
}
"""By list and field: mm or g beyond which a single row is odd."""


def is_usual(kind: str, field: str, value: float) -> bool:
    """Return whether the middle one of a column may have this size; True where no bounds are known."""
    least, most = USUAL.get(kind, {}).get(field, (0, float("inf")))
    return least <= value <= most


def is_possible(kind: str, field: str, value: float) -> bool:
    """Return whether a single one may have this size without a question; True where no bounds are known."""
    least, most = ODD.get(kind, {}).get(field, (0, float("inf")))
    return least <= value <= most
