"""The form of why a copy is kept, and whether it is never to go."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial

from intake.edges.store.library import Library
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
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy

WHY_FORM: Mapping[str, str] = {"why": "Why it is kept", "kept": "Never to go"}
"""The fields of the form, each with its label."""
YES = "yes"


def save_why(
    library: Library, copy_text: str, typed: Mapping[str, str], *, version: int, station: str
) -> Saved | Overlapping:
    """Save the form that was opened at a version.

    Raises:
        RefusedError: the copy does not exist, or others change it again and again.
    """
    return plan_again(partial(_save_once, library, copy_text, typed, version, station))


def _save_once(
    library: Library, copy_text: str, typed: Mapping[str, str], version: int, station: str
) -> Saved | Overlapping:
    with library.reading() as reader:
        copy = find_copy(reader, copy_text)
        opened, stations = as_opened(reader, copy, version)
        shown = version_of(reader)
    # A browser sends nothing of a box that is not ticked.
    said = {"why": as_sent(typed.get("why", "")), "kept": YES if typed.get("kept") == YES else ""}
    if fields := overlaps(_values(opened), _values(copy), said):
        return Overlapping(fields, stations, shown)
    new = changed_fields(_values(copy), said)
    if not new:
        return Saved(None)
    after = replace(copy, why=said["why"], kept=said["kept"] == YES)
    return Saved(library.apply(Action(ActionKind.EDIT_COPY, copy.accession, station), (Change(copy, after),)).entry)


def _values(copy: Copy | None) -> dict[str, str]:
    if copy is None:
        return dict.fromkeys(WHY_FORM, "")
    return {"why": as_sent(copy.why), "kept": YES if copy.kept else ""}
