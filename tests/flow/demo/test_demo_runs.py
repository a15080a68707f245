"""The demonstration's serials, from the lists that come with the tool, worked out by hand."""

from pathlib import Path

from intake.edges import demo_scans
from intake.edges.store.library import open_library
from intake.flow.demo.demo_runs import show


def test_the_collector_s_questions_are_answered(tmp_path: Path) -> None:
    told: list[str] = []
    with open_library(tmp_path / "library", create=True) as library:
        show(library, demo_scans.folder(None), tmp_path, told.append, station="demo")
    text = "\n".join(told)
    assert "Tidewrack Quarterly: 44 of 90 parts held, 2 gaps: 41-80; v.2:no.1-6" in text
    assert "cheapest: TWP-2, TWP-3, TWG-4, TWN-1, 89.00 EUR together (proved); left: nothing" in text
    assert "Lanternfish Weekly: 125 of 156 parts held, 2 gaps: 105-119; 141-156" in text
    assert "cheapest: LFS-2, LFS-4, 30.00 EUR together (proved); left: nothing" in text
    assert "Corrovane Broadsheet: 30 of 30 parts held, no gap: nothing" in text
    assert "(CB-2) could go" in text
    assert "(LFS-1) could go" in text
    assert "(TWP-1) could go" in text
    assert "Together they free 37 mm of shelf" in text
    assert (tmp_path / "serials.pdf").read_bytes().startswith(b"%PDF")


def test_a_folder_without_these_lists_leaves_the_serials_out(tmp_path: Path) -> None:
    told: list[str] = []
    with open_library(tmp_path / "library", create=True) as library:
        show(library, tmp_path, tmp_path, told.append, station="demo")
    assert told == []
