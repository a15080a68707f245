"""What a person saw of a copy, recorded without the form in which it is typed."""

from intake.edges.store.library import Library
from intake.flow.condition.inspect_copy import Facts, apply_facts, plan_facts
from intake.flow.lookup.resolve import find_copy
from intake.model.changes import LedgerEntry
from intake.model.editions import Copy


def record_facts(library: Library, copy_text: str, facts: Facts, *, station: str) -> tuple[Copy, LedgerEntry | None]:
    with library.reading() as records:
        plan = plan_facts(records, find_copy(records, copy_text), facts, station=station)
    return apply_facts(library, plan, station=station, request=None)
