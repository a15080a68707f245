"""The form of the facts about a copy: its fields as texts, and how what was typed is saved.

A field that was left empty was not looked at, but for the words about a part, the binding and the note, which can be
emptied.
"""

from collections.abc import Mapping
from enum import StrEnum
from functools import partial
from typing import TypeVar

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import entry_of_request
from intake.edges.store.reader import LibraryReader
from intake.flow.condition.inspect_copy import Facts, apply_facts, plan_facts
from intake.flow.lookup.plan_again import plan_again
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.two_versions import (
    Overlapping,
    Saved,
    as_opened,
    as_sent,
    changed_fields,
    overlaps,
    version_of,
)
from intake.model.condition import PARTS, split_parts
from intake.model.editions import Copy, Covering, Edition, Finish, Grade, Printing, Sewing

FACTS_FORM: Mapping[str, str] = {
    "grade": "Condition of the book",
    "has_jacket": "Dust jacket",
    "wrapped": "Left wrapped",
    "number_line": "Number line, as printed",
    "binding": "Binding",
    "jacket": "Condition of the jacket",
    "sewing": "Sewing",
    "covering": "Covering",
    "finish": "Surface",
    "slipcase": "Slipcase",
    **{f"part-{part}": f"Damage to the {part}" for part in PARTS},
    "note": "Note",
}
"""The fields of the form, each with its label."""
CAN_BE_EMPTIED = frozenset({"binding", "note", *(f"part-{part}" for part in PARTS)})
_Word = TypeVar("_Word", bound=StrEnum)
_YES_OR_NO = {True: "yes", False: "no", None: ""}


def facts_values(copy: Copy | None, edition: Edition | None, printing: Printing | None) -> dict[str, str]:
    """Return what the form shows of a copy; empty fields where there is none."""
    defects = split_parts(copy.condition) if copy else {}
    return {
        "grade": (copy.grade or "") if copy else "",
        "has_jacket": _YES_OR_NO[copy.has_jacket] if copy else "",
        "wrapped": _YES_OR_NO[copy.wrapped] if copy else "",
        "number_line": as_sent(printing.number_line) if printing else "",
        "binding": as_sent(edition.binding) if edition else "",
        "jacket": (copy.jacket or "") if copy else "",
        "sewing": (copy.sewing or "") if copy else "",
        "covering": (copy.covering or "") if copy else "",
        "finish": (copy.finish or "") if copy else "",
        "slipcase": _YES_OR_NO[copy.slipcase] if copy else "",
        **{f"part-{part}": as_sent(defects.get(part, "")) for part in PARTS},
        "note": as_sent(copy.note) if copy else "",
    }


def save_facts(
    library: Library, copy_text: str, typed: Mapping[str, str], *, version: int, station: str, request: str | None
) -> tuple[Copy, Saved | Overlapping]:
    """Save the form of a copy that was opened at a version.

    Returns:
        The copy as it now is, and what became of the form.

    Raises:
        RefusedError: the copy does not exist; see `intake.flow.condition.inspect_copy.plan_facts`; or others change it
            again and again.
    """
    return plan_again(partial(_save_once, library, copy_text, typed, version, station, request))


def _save_once(
    library: Library, copy_text: str, typed: Mapping[str, str], version: int, station: str, request: str | None
) -> tuple[Copy, Saved | Overlapping]:
    with library.reading() as reader:
        copy = find_copy(reader, copy_text)
        if request is not None and (earlier := entry_of_request(reader, request)) is not None:
            return copy, Saved(earlier)
        now = _values_now(reader, copy)
        opened, stations = _values_then(reader, copy, version)
        told = {field: value for field, value in typed.items() if value or field in CAN_BE_EMPTIED}
        if fields := overlaps(opened, now, told):
            return copy, Overlapping(fields, stations, version_of(reader))
        plan = plan_facts(reader, copy, read_facts(changed_fields(now, told)), station=station)
    after, entry = apply_facts(library, plan, station=station, request=request)
    return after, Saved(entry)


def _values_now(reader: LibraryReader, copy: Copy) -> dict[str, str]:
    printing = reader.get(Printing, copy.printing_id) if copy.printing_id is not None else None
    return facts_values(copy, reader.get(Edition, copy.edition_id), printing)


def _values_then(reader: LibraryReader, copy: Copy, version: int) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return what the form showed at a version, and who has changed any of its records since."""
    then, by = as_opened(reader, copy, version)
    edition = reader.get(Edition, (then or copy).edition_id)
    edition_then, edition_by = as_opened(reader, edition, version) if edition else (None, ())
    number = (then or copy).printing_id
    printing = reader.get(Printing, number) if number is not None else None
    printing_then, printing_by = as_opened(reader, printing, version) if printing else (None, ())
    stations = tuple(dict.fromkeys((*by, *edition_by, *printing_by)))
    return facts_values(then, edition_then, printing_then), stations


def read_facts(fields: Mapping[str, str]) -> Facts:
    """Read the facts from the fields of a form; what is absent was left alone."""
    return Facts(
        grade=_member(Grade, fields.get("grade", "")),
        jacket=_member(Grade, fields.get("jacket", "")),
        has_jacket=_yes_or_no(fields.get("has_jacket", "")),
        wrapped=_yes_or_no(fields.get("wrapped", "")),
        number_line=fields.get("number_line") or None,
        binding=fields.get("binding"),
        sewing=_member(Sewing, fields.get("sewing", "")),
        covering=_member(Covering, fields.get("covering", "")),
        finish=_member(Finish, fields.get("finish", "")),
        slipcase=_yes_or_no(fields.get("slipcase", "")),
        parts={part: fields[f"part-{part}"] for part in PARTS if f"part-{part}" in fields},
        note=fields.get("note"),
    )


def _member(kind: type[_Word], text: str) -> _Word | None:
    return next((word for word in kind if word.value == text), None)


def _yes_or_no(text: str) -> bool | None:
    return {"yes": True, "no": False}.get(text)
