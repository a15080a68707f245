"""The command line offers every paper of the registry in every format, under the names that commands have."""

from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from intake.cli.main import run
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.registry import PAPERS
from tests.cli.conftest import Intake
from tests.made_library import copy_beside, name_in

MADE = [(paper, form) for paper in PAPERS for form in paper.formats]
ARGUMENTS = {"reference": "R1", "copy": "1", "limit": "100"}
OPTIONS = {"regime": ("--regime", "hague-visby", "--rate", "1.2"), "seconds": ("--seconds", "0.2"),
           "relief": ("--relief", "us")}  # fmt: skip
SHORT_CUTS = {
    "insurance": ("schedule", "insurance"),
    "high-value": ("schedule", "high-value"),
    "move": ("schedule", "move"),
    "customs": ("schedule", "customs"),
    "household": ("schedule", "household"),
    "copy": ("schedule", "copy"),
    "condition": ("condition", "print"),
    "bookcases": ("draw",),
}
"""Where a paper can be printed beside `intake print`."""


@pytest.fixture(scope="module")
def moved_made(stocked_made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("moved")
    copy_beside(stocked_made, folder)
    consignment, more = folder / "consignment.csv", folder / "more.csv"
    consignment.write_text("reference,carrier,boxes\nR1,Invented Haulage,all\n", encoding="utf-8")
    more.write_text("key\nG2\n", encoding="utf-8")
    steps = (
        ("import", "consignment", str(consignment)),
        ("box", "close", "2"),
        ("box", "arrive", "2", "--delivered", "2026-03-30"),
        ("box", "finish", "2", "--reason", "not in it"),
        ("import", "copies", str(more)),
        ("room", "A6", "--done"),
        ("condition", "record", "1", "--defect", "boards=rubbed"),
        ("rates", "enter", "EUR", "USD", "1.25"),
    )
    for step in steps:
        assert run(["--library", name_in(folder / "library"), *step]) == 0, step
    return folder


@pytest.fixture
def moved(moved_made: Path, intake: Intake, tmp_path: Path) -> Intake:
    """The small library with a consignment, of which box 1 was unpacked; one copy shelved, one reported."""
    copy_beside(moved_made, tmp_path)
    return intake


def arguments(paper: Paper[Any]) -> list[str]:
    """Return what the paper cannot be made without, as it is typed."""
    names = [option.name for option in paper.options]
    given = [ARGUMENTS[name] for name in names if name in ARGUMENTS]
    given += ["A"] if paper.name == "bookcases" else []
    return [*given, *(word for name in names for word in OPTIONS.get(name, ()))]


def test_every_paper_is_offered_in_every_format(moved: Intake, tmp_path: Path) -> None:
    for paper, form in MADE:
        for words in (("print", paper.name), SHORT_CUTS.get(paper.name)):
            if words is None:
                continue
            path = tmp_path / f"{'-'.join(words)}.{form}"
            done = moved(*words, *arguments(paper), "-o", path)
            assert (done.status, done.err) == (0, ""), (words, form)
            assert path.stat().st_size > 0
    assert all(form in {form for _, form in MADE} for form in PaperFormat)


def test_help_lists_every_paper(intake: Intake) -> None:
    listed = [line.split()[0] for line in intake("print", "--help").out.splitlines() if line.startswith("  ")]
    assert [name for name in listed if name in {paper.name for paper in PAPERS}] == [paper.name for paper in PAPERS]


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_a_file_of_another_kind_is_wrong_use(moved: Intake, tmp_path: Path, paper: Paper[Any]) -> None:
    before = moved("history").out
    said = moved("print", paper.name, *arguments(paper), "-o", "paper.doc")
    assert said.status == 2
    assert all(f".{form}" in said.err for form in paper.formats)
    assert not (tmp_path / "paper.doc").exists()
    assert moved("history").out == before


def test_labels_that_did_not_change_are_not_printed_again(moved: Intake, tmp_path: Path) -> None:
    assert moved("print", "shelf-labels", "--changed", "-o", "one.pdf").status == 0
    said = moved("print", "shelf-labels", "--changed", "-o", "two.pdf")
    assert (said.status, (tmp_path / "two.pdf").exists()) == (0, False)
    assert [(tmp_path / name).exists() for name in ("one.pdf", "two.pdf")] == [True, False]


def test_owner_language_and_size_are_kept_once_and_can_be_chosen_otherwise(moved: Intake, tmp_path: Path) -> None:
    kept = '[papers]\nowner = "Ima Ginary"\nlanguage = "de"\npaper = "letter"\n'
    (tmp_path / "library" / "settings.toml").write_text(kept, encoding="utf-8")
    for words, said in (((), "Eigentümer Ima Ginary"), (("--language", "en", "--owner", "Bo"), "Owner Bo")):
        path = tmp_path / "inventory.pdf"
        assert moved("print", "inventory", *words, "-o", path).status == 0
        with pypdfium2.PdfDocument(path) as document:
            assert said in " ".join(str(document[0].get_textpage().get_text_range()).split())
            assert document[0].get_width() == pytest.approx(612, abs=1)
    refused = moved("print", "periods", "R1", "--regime", "cmr", "--language", "de", "-o", tmp_path / "own.pdf")
    assert refused.status != 0  # it is worded in English alone, and no paper is half in another language
