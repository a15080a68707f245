"""What changed about the copies of a list since an entry, worked by hand on changes made up here."""

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

from intake.flow.values.ledger_diff import CopyChange, changes_of
from intake.model.boxes import Discrepancy, DiscrepancyKind
from intake.model.changes import Change
from intake.model.condition import ConditionReport, Occasion
from intake.model.editions import Copy, CopyState, Edition, Printing
from intake.model.valuations import Basis, Valuation

COPIES = [("A1", 1), ("A2", 1), ("A3", 2)]
ONE = Copy(accession="A1", edition_id=1)
FERNS = Edition(id=1, title="Ferns", year=1990)


def value(amount: str, copy: str = "A1", id: int = 1) -> Valuation:  # noqa: A002 - the field
    return Valuation(id=id, copy=copy, amount=Decimal(amount), currency="EUR", on=date(2026, 1, 2), basis=Basis.MARKET)


def found(
    *later: tuple[int, Change], then: dict[str, Valuation] | None = None, now: dict[str, Valuation] | None = None
) -> dict[str, CopyChange]:
    return {one.copy: one for one in changes_of(COPIES, later, (then or {}, now or {}))}


def test_nothing_changed() -> None:
    assert found() == {}
    other = Copy(accession="A9", edition_id=9)
    assert found((5, Change(other, replace(other, wrapped=True)))) == {}


def test_a_value_that_changed_names_both_and_its_entry() -> None:
    both = found((7, Change(None, value("9", id=2))), then={"A1": value("5")}, now={"A1": value("9", id=2)})
    assert (list(both), both["A1"].entries) == (["A1"], (7,))
    (words,) = both["A1"].words
    assert "EUR 5.00 (market, 2026-01-02)" in words
    assert "EUR 9.00 (market, 2026-01-02)" in words
    first = found((7, Change(None, value("9"))), now={"A1": value("9")})
    assert "none" in first["A1"].words[0]
    # A value recorded and taken back is no change.
    assert found((7, Change(None, value("9"))), (8, Change(value("9"), None))) == {}


def test_fields_of_a_copy_are_named_with_what_they_were_and_are() -> None:
    shelved = replace(ONE, state=CopyState.SHELVED, place="S1-00", wrapped=True)
    change = found((3, Change(ONE, replace(ONE, wrapped=True))), (4, Change(replace(ONE, wrapped=True), shelved)))
    assert change["A1"].entries == (3, 4)
    said = "; ".join(change["A1"].words)
    assert "wrapped no, now yes" in said
    assert "place none, now S1-00" in said
    assert len(change["A1"].words) == 3
    assert found((3, Change(ONE, shelved)), (4, Change(shelved, ONE))) == {}


def test_an_edition_changes_each_of_its_copies() -> None:
    change = found((3, Change(FERNS, replace(FERNS, year=1991, contributors=("Ada Thorn", "Bo Lind")))))
    assert set(change) == {"A1", "A2"}
    assert [word for word in change["A2"].words if "1990, now 1991" in word]
    assert [word for word in change["A2"].words if "none, now Ada Thorn; Bo Lind" in word]


def test_a_copy_that_is_new_or_gone() -> None:
    assert len(found((3, Change(None, ONE)))["A1"].words) == 1
    gone = found((3, Change(ONE, None)))["A1"].words
    assert gone != found((3, Change(None, ONE)))["A1"].words


def test_reports_and_printings_touch_their_copies_but_are_no_field_of_them() -> None:
    report = ConditionReport(id=1, copy="A3", at=datetime(2026, 3, 1, tzinfo=UTC), occasion=Occasion.BEFORE)
    printing = Printing(id=4, edition_id=2)
    later = ((3, Change(None, report)), (4, Change(None, printing)))
    assert found(*later) == {}
    now = {"A3": value("5", "A3")}
    assert found(*later, now=now)["A3"].entries == (3, 4)


def test_damage_recorded_since_is_a_change_as_every_list_prints_it() -> None:
    at = datetime(2026, 3, 1, tzinfo=UTC)
    torn = Discrepancy(id=1, box="B1-56", copy="A3", kind=DiscrepancyKind.DAMAGED, reason="spine torn", at=at)
    assert found((6, Change(None, torn))) == {"A3": CopyChange("A3", ("damage none, now spine torn",), (6,))}
    # Damage recorded and taken back is no change.
    assert found((6, Change(None, torn)), (7, Change(torn, None))) == {}
    # What is missing is told by its state, once.
    gone = replace(torn, kind=DiscrepancyKind.MISSING)
    three = Copy(accession="A3", edition_id=2)
    missing = found((6, Change(three, replace(three, state=CopyState.MISSING))), (6, Change(None, gone)))
    assert len(missing["A3"].words) == 1


def test_a_copy_whose_edition_is_new_too_is_called_new_once() -> None:
    assert found((3, Change(None, FERNS)), (3, Change(None, ONE)))["A1"].words == ("new since",)
