"""The proof: a list agrees with its ledger; a changed value is named; a forged list and another ledger are told."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pypdfium2
import pytest

from intake.edges.sheets import read_csv
from intake.edges.store.library import Library
from intake.edges.store.queries.condition import copy_pictures
from intake.errors import FileError, RefusedError, UsageError
from intake.flow.condition.condition_report import Inspection, report_condition
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle
from intake.flow.papers import registry, verify_list
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper
from intake.flow.papers.proofs import ProofRecords, values_in
from intake.flow.papers.render import print_paper
from intake.flow.undo import undo
from intake.flow.values import value_copies
from intake.flow.values.exchange_rates import enter_rate
from intake.flow.values.figures import Figure
from intake.model.schedules import ProofTotal
from intake.model.valuations import Basis, Valuation
from tests.flow.conftest import COPIES, NOW, import_text
from tests.made_library import new_library

TODAY = date(2026, 3, 31)
WANTED = PaperOptions(
    currency="EUR", single_limit=Decimal(125), limit=Decimal(125), insured=Decimal(500), owner="Mx Nobody",
    reference="R/1;ö",
)  # fmt: skip


@pytest.fixture
def priced(library: Library, tmp_path: Path) -> Library:
    enter_rate(library, "EUR", "USD", Decimal("1.25"), on=TODAY, station="test", today=TODAY)
    import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference,carrier,boxes\nR/1;ö,Invented Haulage,all\n")
    return library


def write(library: Library, paper: Paper[Any], path: Path, options: PaperOptions = WANTED) -> None:
    print_paper(library, paper, options, path, on=TODAY, station="test")


def insurance(library: Library, path: Path) -> None:
    write(library, registry.INSURANCE, path)


LISTS = (registry.INSURANCE, registry.HIGH_VALUE, registry.MOVE, registry.CUSTOMS, registry.INVENTORY)


@pytest.mark.parametrize("suffix", [".pdf", ".xlsx", ".csv"])
@pytest.mark.parametrize("paper", LISTS, ids=lambda paper: paper.name)
def test_a_changed_value_is_named(priced: Library, tmp_path: Path, paper: Paper[Any], suffix: str) -> None:
    path = tmp_path / f"list{suffix}"
    write(priced, paper, path)
    proof = verify_list.find_proof(path)
    fresh = verify_list.verify(priced, proof)
    assert fresh.sound
    assert fresh.agrees
    assert fresh.changed == ()
    figure = Figure(amount=Decimal(700), currency="EUR", on=TODAY, basis=Basis.AGREED)
    made, _ = value_copies.value_copy(priced, "5", figure, station="test", today=TODAY)
    after = verify_list.verify(priced, proof)
    assert after.sound
    assert not after.agrees
    (changed,) = after.changed
    assert changed.copy == made.copy
    assert "EUR 130.00" in changed.what
    assert "EUR 700.00" in changed.what
    assert any(made.copy in line for line in verify_list.result_lines(after))
    undo(priced, station="test")
    undone = verify_list.verify(priced, proof)
    assert undone.agrees
    assert undone.changed == ()


def test_other_changes_are_named_too(priced: Library, tmp_path: Path) -> None:
    insurance(priced, tmp_path / "list.pdf")
    proof = verify_list.find_proof(tmp_path / "list.pdf")
    report_condition(priced, "1", Inspection(parts={"spine": "cracked"}), station="test", now=NOW)
    import_text(priced, tmp_path, ListKind.COPIES, COPIES.replace("2,Study,F2", "2,Study,G2"))
    found = verify_list.verify(priced, proof)
    words = {one.title: one.what for one in found.changed}
    assert "spine: cracked" in words["Ferns of the Outer Isles, vol. 1"]
    assert "new since" in words["A Guide to Gulls"]
    assert not found.agrees


def test_a_list_that_was_altered_is_told_from_its_ledger(priced: Library, tmp_path: Path) -> None:
    insurance(priced, tmp_path / "list.csv")
    proof = verify_list.find_proof(tmp_path / "list.csv")
    dearer = ProofTotal(currency="EUR", basis="market", amount=Decimal(9999), count=2)
    forged = verify_list.verify(priced, replace(proof, copies=6, totals=(dearer, *proof.totals[1:])))
    assert not forged.sound
    assert len(forged.wrong) >= 2
    assert "No copy of it was changed since." in verify_list.result_lines(forged, shown=None)


def test_a_copy_worth_just_the_limit_is_on_no_list_of_what_is_worth_more(priced: Library, tmp_path: Path) -> None:
    # EUR 130.00 is not more than 130; the charts at USD 900, EUR 720, are.
    write(priced, registry.HIGH_VALUE, tmp_path / "list.csv", replace(WANTED, limit=Decimal(130)))
    proof = verify_list.find_proof(tmp_path / "list.csv")
    assert proof.copies == 1
    assert verify_list.verify(priced, proof).sound


def test_another_ledger_does_not_know_the_list(priced: Library, tmp_path: Path) -> None:
    insurance(priced, tmp_path / "list.pdf")
    proof = verify_list.find_proof(tmp_path / "list.pdf")
    with new_library(tmp_path / "other") as other:
        import_text(other, tmp_path, ListKind.COPIES, "key\n", dry_run=True)
        assert not verify_list.verify(other, proof).known
    assert not verify_list.verify(priced, replace(proof, head="0" * 64)).known


@pytest.mark.folder
def test_a_lost_photograph_is_told(priced: Library, tmp_path: Path) -> None:
    from PIL import Image  # noqa: PLC0415 - only this test draws

    Image.new("RGB", (40, 30), "blue").save(tmp_path / "one.jpg")
    report_condition(priced, "1", Inspection(), photographs=(tmp_path / "one.jpg",), station="test", now=NOW)
    insurance(priced, tmp_path / "list.pdf")
    proof = verify_list.find_proof(tmp_path / "list.pdf")
    assert verify_list.verify(priced, proof).pictures == ()
    with priced.reading() as records:
        (shown,) = copy_pictures(records)
    path = priced.picture_path(shown.picture)
    assert path is not None
    path.unlink()
    assert verify_list.verify(priced, proof).pictures == ((shown.picture, "missing"),)
    insurance(priced, tmp_path / "again.pdf")
    with pypdfium2.PdfDocument(tmp_path / "again.pdf") as document:
        text = " ".join(str(page.get_textpage().get_text_range()) for page in document)
    assert "Not printed" in text


def test_the_proof_is_read_from_a_picture_of_the_page(priced: Library, tmp_path: Path) -> None:
    insurance(priced, tmp_path / "list.pdf")
    with pypdfium2.PdfDocument(tmp_path / "list.pdf") as document:
        document[len(document) - 1].render(scale=200 / 72).to_pil().save(tmp_path / "page.png")
    assert verify_list.find_proof(tmp_path / "page.png") == verify_list.find_proof(tmp_path / "list.pdf")
    (tmp_path / "other.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(FileError):
        verify_list.find_proof(tmp_path / "other.csv")


def test_what_independent_readers_find(priced: Library, tmp_path: Path) -> None:
    insurance(priced, tmp_path / "list.xlsx")
    insurance(priced, tmp_path / "list.csv")
    sheet = openpyxl.load_workbook(tmp_path / "list.xlsx")["Insurance schedule"]
    amounts = [row[8].value for row in sheet.iter_rows(min_row=2, max_row=6)]
    assert {amount for amount in amounts if amount is not None} == {4.5, 120, 130, 720}
    assert sheet.freeze_panes == "A2"
    assert any(str(cell.value).startswith("=SUMIF") for row in sheet.iter_rows(min_row=7) for cell in row)
    rows = read_csv(tmp_path / "list.csv").rows
    assert sum(Decimal(row.cells["Value"]) for row in rows if row.cells["Value"]) == Decimal("974.50")


def test_papers_about_one_copy(priced: Library, tmp_path: Path) -> None:
    report_condition(priced, "1", Inspection(parts={"boards": "rubbed"}, note="=2+3"), station="test", now=NOW)
    write(priced, registry.COPY, tmp_path / "copy.pdf", PaperOptions(copy="1"))
    write(priced, registry.CONDITION, tmp_path / "condition.pdf")
    for name, wanted in (("copy", "Its history in the ledger"), ("condition", "Before and after")):
        with pypdfium2.PdfDocument(tmp_path / f"{name}.pdf") as document:
            text = " ".join(str(page.get_textpage().get_text_range()) for page in document)
        assert wanted in text
        assert "boards" in text.casefold()
        assert verify_list.verify(priced, verify_list.find_proof(tmp_path / f"{name}.pdf")).sound
    with pytest.raises(RefusedError):
        write(priced, registry.CONDITION, tmp_path / "x.pdf", PaperOptions(copies=("2",)))


def test_what_cannot_be_printed_leaves_no_file(priced: Library, tmp_path: Path) -> None:
    with pytest.raises(UsageError):
        write(priced, registry.INSURANCE, tmp_path / "list.doc")
    with pytest.raises(UsageError):
        write(priced, registry.INSURANCE, tmp_path / "list.pdf", replace(WANTED, currency="QQQ"))
    with pytest.raises(RefusedError):
        write(priced, registry.HIGH_VALUE, tmp_path / "list.pdf", replace(WANTED, limit=Decimal(10**6)))
    for limit in (None, Decimal(-1)):
        with pytest.raises(UsageError):
            write(priced, registry.HIGH_VALUE, tmp_path / "list.pdf", replace(WANTED, limit=limit))
    with pytest.raises(RefusedError):
        write(priced, registry.CUSTOMS, tmp_path / "x.pdf", replace(WANTED, reference="none"))
    with new_library(tmp_path / "empty") as empty, pytest.raises(RefusedError):
        insurance(empty, tmp_path / "list.pdf")
    assert not list(tmp_path.glob("*.pdf"))
    assert not list(tmp_path.glob("*.doc"))


def test_closing_a_box_is_no_change_of_what_is_listed(priced: Library, tmp_path: Path) -> None:
    insurance(priced, tmp_path / "list.pdf")
    box_lifecycle.close_box(priced, "1", station="test")
    assert verify_list.verify(priced, verify_list.find_proof(tmp_path / "list.pdf")).changed == ()


@pytest.mark.parametrize(("more", "cut"), [(-1, 0), (0, 0), (1, 1), (7, 7)])
def test_of_many_changed_copies_the_first_are_named_and_the_others_counted(
    priced: Library, tmp_path: Path, more: int, cut: int
) -> None:
    insurance(priced, tmp_path / "list.csv")
    verdict = verify_list.verify(priced, verify_list.find_proof(tmp_path / "list.csv"))
    count = verify_list.SHOWN + more
    changed = tuple(verify_list.ChangedCopy(f"A{n}-00", f"Title {n}", "value", (n,)) for n in range(count))
    plain, full = (verify_list.result_lines(replace(verdict, changed=some)) for some in ((), changed))
    assert sum("-00  Title" in line for line in full) == count - cut
    assert len(full) - len(plain) == count - cut + bool(cut)
    assert any(f"{cut} more" in line for line in full) is bool(cut)


def test_the_values_that_a_list_of_an_earlier_version_counted() -> None:
    def value(number: int, amount: str, basis: Basis, on: date) -> Valuation:
        return Valuation(id=number, copy="A1", amount=Decimal(amount), currency="EUR", on=on, basis=basis)

    valued, paid = value(1, "340", Basis.MARKET, date(2024, 5, 1)), value(2, "15", Basis.PURCHASE, date(2026, 1, 1))
    held = ProofRecords(valuations={1: valued, 2: paid})
    assert values_in(held, "latest") == {"A1": paid}
    assert values_in(held, "") == {"A1": valued}
    assert values_in(held, "purchase") == {"A1": paid}
