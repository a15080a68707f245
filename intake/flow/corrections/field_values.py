"""Values that a person types for a correction, as FIELD=VALUE, read as the cells of their lists are."""

import re
from collections.abc import Collection, Iterable, Mapping

from intake.errors import UsageError
from intake.flow.lists.columns import CellFault, Cells
from intake.flow.lists.reasons import BadRow, CellError
from intake.flow.lists.row_words import bad_row_sentence
from intake.units.advice import advice
from intake.units.quantities import parse_length_mm, parse_mass_g

WITH_UNIT = re.compile(r"[^\d.,\s]")
"""What a length or mass has in it besides figures where its unit is written."""


def typed_values(texts: Iterable[str], known: Collection[str]) -> dict[str, str]:
    """Take apart what was typed as FIELD=VALUE.

    Args:
        texts: as typed.
        known: the fields that may be named.

    Raises:
        UsageError: one is not of that form, names no such field, names a field twice, or has no value.
    """
    values: dict[str, str] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals:
            raise UsageError(f"{text!r}", "is not of the form FIELD=VALUE", "write it like subject=Birds")
        field = field_named(name, known)
        if field in values:
            raise UsageError(f"The field {field}", "is named twice", "name it once")
        if not value.strip():
            raise UsageError(
                f"The field {field}", "has no value", advice(f"to empty it, write --clear {field}", "write one")
            )
        values[field] = in_own_unit(field, value.strip())
    return values


def typed_and_emptied(
    values: Iterable[str], clear: Iterable[str], known: Collection[str], *, emptied_too: Collection[str] = ()
) -> tuple[dict[str, str], set[str]]:
    """Take apart what a correction gives and what it empties.

    Args:
        values: the new values, each as FIELD=VALUE.
        clear: the names of the fields to empty.
        known: the fields that may be given or emptied.
        emptied_too: the names that may only be emptied.

    Returns:
        The values by field, and the fields to empty.

    Raises:
        UsageError: a value or a field that is none, or one field in both.
    """
    typed = typed_values(values, known)
    emptied = {field_named(name, (*known, *emptied_too)) for name in clear}
    if both := sorted(emptied & typed.keys()):
        raise UsageError(f"The field {both[0]}", "is given a value and emptied", "do one of the two")
    return typed, emptied


def field_named(name: str, known: Collection[str]) -> str:
    """Return the field that a person means.

    Raises:
        UsageError: there is none of that name.
    """
    field = re.sub(r"[\s\-]+", "_", name.strip().casefold())
    if field not in known:
        raise UsageError(f"The field {name.strip()!r}", "is not known", f"use one of {', '.join(sorted(known))}")
    return field


def cells_of(values: Mapping[str, str], faults: list[CellFault] | None = None) -> Cells:
    """Return values as the cells of one row; for `faults` see `Cells`."""
    return Cells(values, {field: field for field in values}, faults)


def usage_error(error: CellError) -> UsageError:
    """Return the error for a value that cannot be read."""
    return UsageError("What was typed:", bad_row_sentence(BadRow(0, error.reason, error.facts)), "correct it")


def in_own_unit(field: str, value: str) -> str:
    """Return a length or mass that was typed with its unit in the unit of its field."""
    if WITH_UNIT.search(value):
        if field.endswith("_mm"):
            return f"{parse_length_mm(value):g}"
        if field.endswith("_g"):
            return f"{parse_mass_g(value):g}"
    return value
