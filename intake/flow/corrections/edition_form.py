"""The form of an edition: its fields as texts, and how what was typed is saved."""

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError, about_field
from intake.flow.lookup.plan_again import plan_again
from intake.flow.lookup.statement_words import fault_words
from intake.flow.lookup.two_versions import (
    Overlapping,
    Saved,
    as_opened,
    as_sent,
    changed_fields,
    overlaps,
    version_of,
)
from intake.model.changes import Action, ActionKind, Change
from intake.model.edition_names import subject_of
from intake.model.editions import Edition
from intake.runs.notation import read_statement
from intake.runs.statements import StatementFault

EDITION_FORM: Mapping[str, str] = {
    "title": "Title",
    "contributors": "Persons, with semicolons between",
    "publisher": "Publisher",
    "statement": "Edition, as printed",
    "binding": "Binding",
    "subject": "Subject",
    "volume": "Volume",
    "year": "Year",
    "collects": "Collects, such as: Tidewrack Quarterly 57-83, 90, annual 2",
    "why": "Why it is kept",
}
"""The fields of the form, each with its label."""


def edition_values(edition: Edition | None) -> dict[str, str]:
    """Return what the form shows of an edition; empty fields for none."""
    if edition is None:
        return dict.fromkeys(EDITION_FORM, "")
    texts = {field: getattr(edition, field) for field in EDITION_FORM}
    texts |= {"contributors": "; ".join(edition.contributors), "year": str(edition.year or "")}
    return {field: as_sent(text or "") for field, text in texts.items()}


def save_edition(
    library: Library, edition_id: int, typed: Mapping[str, str], *, version: int, station: str
) -> Saved | Overlapping:
    """Save the form of an edition that was opened at a version.

    Raises:
        RefusedError: the edition is not in the library any more, or others change it again and again.
        UsageError: it has no title, or a year that is none.
    """
    return plan_again(partial(_save_once, library, edition_id, typed, version, station))


def _save_once(
    library: Library, edition_id: int, typed: Mapping[str, str], version: int, station: str
) -> Saved | Overlapping:
    with library.reading() as reader:
        edition = find_by_id(reader, edition_id)
        opened, stations = as_opened(reader, edition, version)
        now, shown = edition_values(edition), version_of(reader)
    typed = {field: value for field, value in typed.items() if field in EDITION_FORM}
    if "contributors" in typed:
        typed["contributors"] = "; ".join(_people(typed["contributors"]))
    if fields := overlaps(edition_values(opened), now, typed):
        return Overlapping(fields, stations, shown)
    after = replace(edition, **_read(changed_fields(now, typed)))
    if after == edition:
        return Saved(None)
    action = Action(ActionKind.EDIT_EDITION, subject_of(edition), station)
    return Saved(library.apply(action, (Change(edition, after),)).entry)


def find_by_id(reader: LibraryReader, edition_id: int) -> Edition:
    """Return an edition by its id.

    Raises:
        RefusedError: it is not in the library.
    """
    edition = reader.get(Edition, edition_id)
    if edition is None:
        raise RefusedError("This edition", "is not in the library any more", "search the catalog for it")
    return edition


def _people(text: str) -> tuple[str, ...]:
    return tuple(filter(None, (name.strip() for name in text.split(";"))))


def _check_collects(text: str) -> None:
    if text and isinstance(read := read_statement(text), StatementFault):
        raise UsageError(f"What it collects, '{text}',", "is not understood", fault_words(read))


def _year(text: str) -> int | None:
    if text and not re.fullmatch("[0-9]{1,4}", text):
        raise UsageError(f"The year '{text}'", "is not a number of at most four digits", "correct it")
    return int(text) if text else None


def _read(values: Mapping[str, str]) -> dict[str, Any]:
    read: dict[str, Any] = dict(values)
    if "title" in values and not values["title"]:
        with about_field("title"):
            raise UsageError("An edition", "needs a title", "type it as the title page has it")
    if "contributors" in values:
        read["contributors"] = _people(values["contributors"])
    if "collects" in values:
        with about_field("collects"):
            _check_collects(values["collects"])
    if "year" in values:
        with about_field("year"):
            read["year"] = _year(values["year"])
    return read
