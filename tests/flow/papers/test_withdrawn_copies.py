"""A copy that left the collection is on no paper any more; one that the carrier lost stays on the carrier's."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from intake.edges.store.library import Library
from intake.errors import RefusedError
from intake.flow.condition.condition_report import Inspection, report_condition
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_withdrawal
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle
from intake.flow.papers import label_registry, registry
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.registry import PAPERS
from intake.flow.papers.render import render
from intake.flow.shelves.find_room import put
from intake.flow.undo import undo
from intake.flow.unpacking.station import book_line
from intake.flow.values.exchange_rates import enter_rate
from intake.model.withdrawals import WithdrawalReason
from tests.flow.conftest import NOW, booked, import_text
from tests.flow.papers.test_registry import options
from tests.made_library import copy_library

TODAY = date(2026, 3, 31)
GONE = ("A1-59", "Ferns of the Outer Isles")
"""Number and title of the copy that is withdrawn, the only one of its edition."""

LEDGER = re.compile(r"\d+ entries|[0-9a-f]{16,}")
"""What a paper says of the ledger, which a withdrawal lengthens."""

LISTING = {
    "copy-flags", "spine-labels", "packing-plan", "packing-list", "inventory", "insurance", "high-value", "move",
    "customs", "household", "bookcases", "collection", "copy", "condition",
}  # fmt: skip
"""Papers that name every copy; the others name boxes, shelves, sums, or what is missing or damaged."""


@pytest.fixture(scope="module")
def moved_made(library_made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("moved")
    with copy_library(library_made, folder / "library") as library:
        enter_rate(library, "EUR", "USD", Decimal("1.25"), on=TODAY, station="test", today=TODAY)
        import_text(library, folder, ListKind.CONSIGNMENT, "reference,carrier,boxes\nR1,Invented Haulage,all\n")
        seen = box_lifecycle.ArrivalReport(delivered=TODAY)
        for box in ("1", "2"):
            box_lifecycle.close_box(library, box, station="test")
            box_lifecycle.check_in(library, box, seen=seen, today=TODAY, station="test")
        box_lifecycle.finish(library, "2", why=lambda _missing: "not in it", station="test")
        import_text(library, folder, ListKind.COPIES, "box,key\n,G2\n3,P6\n")
        booked(book_line(library, "1", "9780306406157", request="r1", station="test", now=NOW))
        put(library, "1", station="test", now=NOW)
        put(library, "A6", station="test", now=NOW)
        for copy in ("1", "6"):
            report_condition(library, copy, Inspection(parts={"boards": "rubbed"}), station="test", now=NOW)
    return folder / "library"


@pytest.fixture
def moved(moved_made: Path, tmp_path: Path) -> Iterator[Library]:
    """A consignment that arrived with one copy missing; the first copy of its list stands on a shelf."""
    with copy_library(moved_made, tmp_path / "library") as opened:
        yield opened


def withdraw(library: Library, copy: str, reason: WithdrawalReason) -> int:
    """Withdraw a copy, and return the number of the entry."""
    with library.reading() as records:
        terms = WithdrawalTerms(reason=reason, on=TODAY)
        plan = plan_withdrawal(records, [copy], terms, today=TODAY, station="test")
    applied = apply_correction(library, plan)
    assert applied is not None
    return applied.entry.seq


def text_of(library: Library, paper: Paper[Any]) -> str:
    """Return all that a paper says; of the copy in another box, which belongs to the same set, if it is of one."""
    chosen = replace(options(paper), copy="5") if paper is registry.COPY else options(paper)
    data = render(library, paper, chosen, PaperFormat.PDF, on=TODAY).data
    with pypdfium2.PdfDocument(data) as document:
        return " ".join(" ".join(str(page.get_textpage().get_text_range()) for page in document).split())


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_no_paper_lists_a_copy_that_was_withdrawn(moved: Library, paper: Paper[Any]) -> None:
    before = text_of(moved, paper)
    assert any(name in before for name in GONE) == (paper.name in LISTING)
    entry = withdraw(moved, "1", WithdrawalReason.SOLD)
    after = text_of(moved, paper)
    # The paper about another volume of the set still names the volume that is missing now, and no copy of it.
    assert not any(name in after for name in (GONE[:1] if paper is registry.COPY else GONE))
    undo(moved, entry, station="test")
    if paper.name in LISTING:
        assert any(name in text_of(moved, paper) for name in GONE)


def test_what_the_carrier_lost_stays_on_its_papers(moved: Library) -> None:
    """A copy that is given up as lost for good was not found: the claim for it stands."""
    papers = (registry.DISCREPANCIES, registry.NOTICE, registry.PERIODS)
    before = [text_of(moved, paper) for paper in papers]
    assert all("A5-23" in text or "Ferns of the Inner Isles" in text for text in before[:2])
    withdraw(moved, "5", WithdrawalReason.LOST)
    assert [LEDGER.sub("", text_of(moved, paper)) for paper in papers] == [LEDGER.sub("", text) for text in before]
    assert "A5-23" not in text_of(moved, registry.INVENTORY)


def test_a_flag_of_a_copy_that_was_withdrawn_is_refused(moved: Library) -> None:
    withdraw(moved, "1", WithdrawalReason.GIVEN_AWAY)
    flags = label_registry.COPY_FLAGS
    with pytest.raises(RefusedError):
        render(moved, flags, replace(options(flags), copies=("1",)), PaperFormat.PDF, on=TODAY)
