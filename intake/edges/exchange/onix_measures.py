"""Sizes and masses in a product of ONIX for Books.

Where a measure is given in metric and in other units, the metric one is taken and the other must agree. What no book
measures (0.00), and what came with it as a default, is doubted and left out: a wrong size is worse than none.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from intake.edges.exchange.marc_text import plain_number
from intake.edges.exchange.record_remarks import RemarkKind, Remarks
from intake.units.convert import G_PER_KG, G_PER_LB, G_PER_OZ, MM_PER_CM, MM_PER_INCH

if TYPE_CHECKING:
    from intake.edges.exchange.onix_read import Onix

FIELDS: Mapping[str, str] = {"01": "height_mm", "02": "width_mm", "03": "thickness_mm", "08": "mass_g"}
"""List 48: seen in a copy of a record."""
LENGTHS: Mapping[str, float] = {"mm": 1.0, "cm": MM_PER_CM, "in": MM_PER_INCH}
MASSES: Mapping[str, float] = {"gr": 1.0, "kg": G_PER_KG, "lb": G_PER_LB, "oz": G_PER_OZ}
"""List 50 (mm, in, gr, lb, oz seen in a copy; cm, kg from memory)."""
METRIC = ("mm", "cm", "gr", "kg")
AGREES = 0.03
"""Part by which two statements of one measure may differ: a rounded inch against millimetres."""
DECIMALS = 1


@dataclass(frozen=True, slots=True)
class StatedMeasure:
    """One statement of one measure: millimetres or grams, as written, and what one of its unit is."""

    value: float
    text: str
    unit: float
    is_metric: bool


def measure_cells(described: "Onix", remarks: Remarks) -> dict[str, str]:
    """Return sizes in millimetres and mass in grams, by field."""
    stated: dict[str, list[StatedMeasure]] = {}
    zero = False
    for measure in described.all("Measure"):
        kind = measure.value("MeasureType", "MeasureTypeCode")
        number, unit = measure.value("Measurement"), measure.value("MeasureUnitCode")
        text = f"{number} {unit}"
        field = FIELDS.get(kind, "")
        factor = (MASSES if field == "mass_g" else LENGTHS).get(unit)
        value = _number(number)
        if not field or factor is None or value is None:
            remarks.left_out(f"Measure {kind}", text)
        elif value == 0:
            zero = True
            remarks.add(RemarkKind.DOUBTED, f"Measure {kind}", text)
        else:
            stated.setdefault(field, []).append(StatedMeasure(float(value) * factor, text, factor, unit in METRIC))
    if zero:
        _drop_default_mass(stated, remarks)
    cells = {field: _agreed(field, statements, remarks) for field, statements in stated.items()}
    return {field: text for field, text in cells.items() if text}


def _number(text: str) -> Decimal | None:
    try:
        value = Decimal(text)
    except InvalidOperation:
        return None
    return value if value.is_finite() and value >= 0 else None


def _drop_default_mass(stated: dict[str, list[StatedMeasure]], remarks: Remarks) -> None:
    """Doubt a mass of exactly one unit beside a size of zero: a sender's default, not a weighing."""
    masses = stated.get("mass_g", [])
    if masses and masses[0].value == masses[0].unit:
        remarks.add(RemarkKind.DOUBTED, "Measure 08", masses[0].text)
        del stated["mass_g"]


def _agreed(field: str, statements: Sequence[StatedMeasure], remarks: Remarks) -> str:
    """Return the value that all statements agree on; empty where they contradict each other."""
    taken = next((one for one in statements if one.is_metric), statements[0])
    kind = next(code for code, name in FIELDS.items() if name == field)
    if any(abs(one.value - taken.value) > AGREES * taken.value for one in statements):
        remarks.add(RemarkKind.DOUBTED, f"Measure {kind}", ", ".join(one.text for one in statements))
        return ""
    if not taken.is_metric:
        remarks.add(RemarkKind.CONVERTED, f"Measure {kind}", taken.text)
        return plain_number(round(taken.value, 2 if field != "mass_g" else DECIMALS))
    return plain_number(Decimal(repr(round(taken.value, 6))))
