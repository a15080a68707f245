"""The form of an edition: its fields as texts, and how what was typed is saved."""

from collections.abc import Mapping
from functools import partial

from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, about_field
from intake.flow.corrections.edit_edition import plan_edition_values
from intake.flow.corrections.field_values import in_own_unit
from intake.flow.lookup.plan_again import plan_again
from intake.flow.lookup.two_versions import (
    Overlapping,
    Saved,
    as_opened,
    as_sent,
    changed_fields,
    overlaps,
    version_of,
)
from intake.model.editions import BookSet, Edition

EDITION_FORM: Mapping[str, str] = {
    "title": "Title",
    "contributors": "Persons, with semicolons between",
    "publisher": "Publisher",
    "year": "Year",
    "edition": "Edition, as printed",
    "number": "ISBN, or another number",
    "add_on": "Issue code after it",
    "key": "Your own key",
    "set": "Set it belongs to, by its title",
    "volume": "Volume",
    "binding": "Binding",
    "language": "Language",
    "subject": "Subject",
    "call_number": "Call number",
    "pages": "Pages",
    "height_mm": "Height, in mm where no unit is written",
    "width_mm": "Width, in mm where no unit is written",
    "thickness_mm": "Thickness, in mm where no unit is written",
    "mass_g": "Mass, in g where no unit is written",
    "collects": "Collects, such as: Tidewrack Quarterly 57-83, 90, annual 2",
    "price": "Price of a copy today",
    "currency": "Its currency, such as EUR",
    "printed_in": "Country it was printed in",
    "hs_heading": "Customs heading, where it is not 4901.99",
    "why": "Why it is kept",
}
"""The fields of the form, called as the columns of a list of editions, each with its label."""
_MEASURES = ("height_mm", "width_mm", "thickness_mm", "mass_g")
_TOGETHER = (("number", "add_on"), ("price", "currency"))
"""Fields of which the second says nothing without the first."""


def edition_values(reader: LibraryReader, edition: Edition | None) -> dict[str, str]:
    """Return what the form shows of an edition; empty fields for none."""
    if edition is None:
        return dict.fromkeys(EDITION_FORM, "")
    book_set = reader.get(BookSet, edition.set_id) if edition.set_id is not None else None
    of_record = {field: getattr(edition, field) for field in EDITION_FORM if field not in ("edition", "set")}
    texts = {field: "" if value is None else str(value) for field, value in of_record.items()}
    texts |= {field: f"{of_record[field]:g}" for field in _MEASURES if of_record[field] is not None}
    texts |= {
        "contributors": "; ".join(edition.contributors),
        "edition": edition.statement,
        "set": book_set.title if book_set else "",
    }
    return {field: as_sent(texts[field]) for field in EDITION_FORM}


def save_edition(
    library: Library, edition_id: int, typed: Mapping[str, str], *, version: int, station: str
) -> Saved | Overlapping:
    """Save the form of an edition that was opened at a version.

    Raises:
        RefusedError: the edition is not in the library any more, another has the key that was typed, or others change
            it again and again.
        UsageError: it has no title, or a value is none; its field is told.
    """
    return plan_again(partial(_save_once, library, edition_id, typed, version, station))


def _save_once(
    library: Library, edition_id: int, typed: Mapping[str, str], version: int, station: str
) -> Saved | Overlapping:
    typed = {field: _as_kept(field, value) for field, value in typed.items() if field in EDITION_FORM}
    with library.reading() as reader:
        edition = find_by_id(reader, edition_id)
        opened, stations = as_opened(reader, edition, version)
        now, shown = edition_values(reader, edition), version_of(reader)
        if fields := overlaps(edition_values(reader, opened), now, typed):
            return Overlapping(fields, stations, shown)
        changed = _with_partners(changed_fields(now, typed), {**now, **typed})
        if not changed:
            return Saved(None)
        given = {field: value for field, value in changed.items() if value}
        plan = plan_edition_values(reader, edition, given, changed.keys() - given.keys(), station=station)
    if not plan.changes:
        return Saved(None)
    return Saved(library.apply(plan.action, plan.changes).entry, plan.remarks)


def _as_kept(field: str, text: str) -> str:
    """Return what was typed as the record would be shown with it, so that nothing else counts as changed."""
    if field == "contributors":
        return "; ".join(filter(None, (name.strip() for name in text.split(";"))))
    with about_field(field):
        return in_own_unit(field, text.strip())


def _with_partners(changed: dict[str, str], whole: Mapping[str, str]) -> dict[str, str]:
    """Return what changed, with what belongs to it; what belonged to a field that is emptied goes with it."""
    for pair in _TOGETHER:
        first, second = pair
        if first in changed and not changed[first] and second not in changed:
            changed = {**changed, second: ""}
        elif any(field in changed for field in pair):
            changed = {**changed, **{field: whole[field] for field in pair}}
    return changed


def find_by_id(reader: LibraryReader, edition_id: int) -> Edition:
    """Return an edition by its id.

    Raises:
        RefusedError: it is not in the library.
    """
    edition = reader.get(Edition, edition_id)
    if edition is None:
        raise RefusedError("This edition", "is not in the library any more", "search the catalog for it")
    return edition
