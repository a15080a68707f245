"""The words for records that a planned step makes or alters, beside editions and copies: a name, and what it says."""

from collections.abc import Iterator, Mapping
from dataclasses import fields

from intake.flow.lookup.wording import edition_field_words, plain_value_words
from intake.model.boxes import Box, BoxPicture, CartonState, Consignment, Discrepancy, SealState
from intake.model.changes import Record, is_provisional
from intake.model.condition import ConditionReport, CopyPicture
from intake.model.currencies import amount_text
from intake.model.places import Place
from intake.model.serials import Serial
from intake.model.shelving import Ordering, Printed
from intake.model.sightings import Picture, Query
from intake.model.valuations import Rate, SetValue, Valuation

_FIELDS = {
    "length_mm": "length in mm",
    "depth_mm": "depth in mm",
    "outer_length_mm": "length outside in mm",
    "outer_width_mm": "width outside in mm",
    "outer_height_mm": "height outside in mm",
    "tare_g": "mass of the empty box in g",
    "gross_g": "mass at packing in g",
    "arrived_g": "mass on arrival in g",
    "seal_state": "seal as it arrived",
    "carton": "carton as it arrived",
    "delivered": "day of delivery",
    "board_mm": "board in mm",
    "rated_g": "load that the maker allows in g",
    "above_floor_mm": "above the floor in mm",
    "keys": "order",
    "per_base": "rate",
}
_LEFT_OUT = frozenset({"id", "number", "key", "parent", "position", "name", "reference"})
"""What a record's name says already, or a person has no use for."""
_NAMED: Mapping[type, frozenset[str]] = {
    Valuation: frozenset({"copy", "amount", "currency"}),
    SetValue: frozenset({"set_id", "amount", "currency"}),
    Rate: frozenset({"on", "base", "currency", "per_base"}),
    Discrepancy: frozenset({"copy", "kind", "at", "station"}),
    Place: frozenset({"kind"}),
}
"""The same, of one kind of record."""
_NAMES: Mapping[type, str] = {
    Box: "box {number}",
    Place: "the {kind} '{name}'",
    Consignment: "consignment {reference}",
    Discrepancy: "a line of the discrepancy report: copy {copy}, {kind},",
    Picture: "the photograph",
    BoxPicture: "a photograph of box {box}",
    CopyPicture: "a photograph of copy {copy}",
    ConditionReport: "a condition report of copy {copy}",
    Ordering: "the rule of order",
    Printed: "what labels say that are printed",
    Query: "query {id}",
    Serial: "the serial '{title}'",
}


def record_name(record: Record) -> str:
    """Return what a record is called in a sentence."""
    match record:
        case Box() if is_provisional(record.number):
            return "a new box"
        case Valuation():
            return f"the value of copy {record.copy}, {amount_text(record.amount, record.currency)},"
        case SetValue():
            return f"the value of set {record.set_id}, {amount_text(record.amount, record.currency)},"
        case Rate():
            return f"the rate of {record.on.isoformat()}, {record.base} 1 = {record.currency} {record.per_base},"
    values = {field.name: plain_value_words(getattr(record, field.name)) for field in fields(record)}
    return _NAMES.get(type(record), "a record").format(**values)


def record_field_words(name: str) -> str:
    """Return what a field of such a record is called."""
    return _FIELDS.get(name) or edition_field_words(name)


def record_facts(record: Record) -> Iterator[str]:
    """Yield what a new record says, a line for each field that says something; nothing for one that its name tells."""
    if not isinstance(record, Box | Place | Consignment | Valuation | SetValue | Rate | Discrepancy):
        return
    for field in fields(record):
        value = getattr(record, field.name)
        is_said = field.name in _LEFT_OUT or field.name in _NAMED.get(type(record), ())
        if not is_said and value not in (None, "", (), CartonState.NOT_LOOKED_AT, SealState.NOT_LOOKED_AT):
            yield f"  {record_field_words(field.name)}: {plain_value_words(value)}"
