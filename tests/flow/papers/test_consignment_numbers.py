"""Policy, contract and bill of lading of a consignment: on the papers of those who know them, and on no other."""

from dataclasses import replace

import pypdfium2
import pytest

from intake.edges.store.library import Library
from intake.flow.moving.consignments import consign
from intake.flow.papers import registry
from intake.flow.papers.paper import PaperFormat
from intake.flow.papers.registry import find_paper
from intake.flow.papers.render import render
from intake.model.boxes import Consignment
from tests.flow.papers.test_registry import TODAY, moved, moved_made, options

__all__ = ["moved", "moved_made"]
NUMBERED = Consignment(reference="R1", policy="TP-0417", contract="SOR-26-88", bill_of_lading="SKVL0417")


@pytest.mark.parametrize("name", ["master-list", "move", "customs", "notice", "discrepancies"])
def test_the_numbers_of_a_consignment_are_on_its_papers(moved: Library, name: str) -> None:
    consign(moved, NUMBERED, (), station="test", today=TODAY)
    paper = find_paper(name)
    data = render(moved, paper, replace(options(paper), language="de"), PaperFormat.PDF, on=TODAY).data
    with pypdfium2.PdfDocument(data) as document:
        words = " ".join(str(document[0].get_textpage().get_text_range()).split())
    assert "Vertrag SOR-26-88" in words
    assert "Konnossement oder Frachtbrief SKVL0417" in words
    assert ("Police TP-0417" in words) is (paper is registry.DISCREPANCIES)
