"""The demonstration's move, told and printed.

No picture is read here, neither its bars nor its print, so everything that was photographed waits.
"""

from pathlib import Path

import pypdfium2
import pytest

from intake.edges import ocr
from intake.edges.store.library import open_library
from intake.edges.store.queries.boxes import list_boxes
from intake.flow.demo.run_demo import run_demo
from intake.flow.moving.reconcile import reconcile
from intake.model.boxes import CartonState


@pytest.mark.slow
def test_it_packs_ships_receives_weighs_claims_and_prints(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ocr, "is_installed", lambda: False)
    told: list[str] = []
    run_demo(None, tmp_path / "demo", decoders=(), workers=1, write_line=told.append)
    text = "\n".join(told)
    assert "no plan for these needs fewer than 7" in text
    # Box 5 lacks the one copy that came in box 2; its mass says so before it is opened.
    assert "Lighter: 1500 g less than 15.20 kg as weighed at packing" in text
    assert "Żurawie i łąki" in text.split("Lighter: 1500 g")[1].split("B6-11")[0]
    assert "A wrapped parcel from box B4-29" in text
    assert "Not legal advice" in text
    library = open_library(tmp_path / "demo" / "library")
    with library.reading() as records:
        crushed = [box.number for box in list_boxes(records) if box.carton is CartonState.CRUSHED]
        found = reconcile(records, "SKV-26-00417")
    library.close()
    assert crushed == ["B2-47"]
    assert {fault.number for fault in found.faults} == {"B2-47", "B3-38", "B5-20"}
    short = {line.title for line in found.lines if line.box == "B3-38"}
    assert {"A Field Atlas of Cloud Forms", "Tide Gates and Their Creatures"} <= short
    for name, words in (
        ("packing-plan", "A Field Atlas of Cloud Forms"),
        ("notice-to-carrier", "SKV-26-00417"),
        ("periods-and-limits", "SKV-26-00417"),
        ("box-labels-four-faces", "B2-47"),
    ):
        with pypdfium2.PdfDocument(tmp_path / "demo" / "papers" / f"{name}.pdf") as document:
            text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)
        assert words in text, name
