"""The database and the rule in `intake.valuing.counting` say the same of which valuation of a copy counts."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.edges.store.library import Library
from intake.edges.store.queries.values import latest_valuations, latest_valuations_of
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import Copy
from intake.model.valuations import Basis, Valuation
from intake.valuing.counting import counting_value
from tests.edges.store.made import LIBRARY

DRAWN = st.lists(st.tuples(st.sampled_from(Basis), st.integers(1, 3)), max_size=6)


@pytest.mark.slow
@given(drawn=DRAWN)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
def test_for_any_values_of_a_copy(library: Library, drawn: list[tuple[Basis, int]]) -> None:
    with library.reading() as records:
        is_new = records.get(Copy, "A1") is None
    if is_new:
        library.apply(Action(ActionKind.UNKNOWN, "all", unknown_name="test"), made(*LIBRARY))
    with library.reading() as records:
        gone = [Change(one, None) for one in records.all(Valuation)]
    values = [
        Valuation(id=nth, copy="A1", amount=Decimal(nth), currency="EUR", on=date(2026, 1, day), basis=basis)
        for nth, (basis, day) in enumerate(drawn, 101)
    ]
    library.apply(Action(ActionKind.UNKNOWN, "all", unknown_name="test"), [*gone, *made(*values)])
    with library.reading() as records:
        for basis in (None, *Basis):
            counting = counting_value(values, basis)
            assert latest_valuations(records, basis).get("A1") == counting
        assert latest_valuations_of(records, ["A1"]).get("A1") == counting_value(values)
