"""`intake export everything` and `intake import everything`, and what an import says row by row."""

from pathlib import Path

from intake.flow.lists.everything_words import CARRIED_WITHOUT
from tests.cli.conftest import Intake


def test_out_and_in_again(stocked: Intake, tmp_path: Path) -> None:
    said = stocked("export", "everything", "out")
    assert said.status == 0
    assert "copies.csv: 5" in said.out
    assert stocked("export", "everything", "out").status == 1, "nothing is written over"
    assert stocked("import", "everything", "out").status == 1, "only into an empty library"
    again = ("--library", tmp_path / "again")
    dry = stocked(*again, "import", "everything", "out", "--dry-run")
    assert (dry.status, (tmp_path / "again").exists()) == (0, False)
    assert stocked(*again, "import", "everything", "out").status == 0
    assert stocked(*again, "export", "everything", "second").status == 0
    for path in (tmp_path / "out").iterdir():
        assert path.read_bytes() == (tmp_path / "second" / path.name).read_bytes()
    assert stocked(*again, "box", "show", "1").out == stocked("box", "show", "1").out


def test_the_lists_of_a_library_are_the_same_lists_in_the_one_made_again(stocked: Intake, tmp_path: Path) -> None:
    assert stocked("edition", "merge", "O1", "--into", "F1").status == 0
    said = stocked("import", "copies", "copies.csv", "--dry-run").out
    assert "would make nothing" in said
    out = stocked("export", "everything", "out").out
    assert "merged-editions.csv: 1\n" in out
    again = ("--library", tmp_path / "again")
    for options in (("--dry-run",), ()):
        assert CARRIED_WITHOUT not in stocked(*again, "import", "everything", "out", *options).out
    assert stocked(*again, "import", "copies", "copies.csv", "--dry-run").out == said
    for name in ("merged-editions.csv", "said-by-lists.csv"):
        (tmp_path / "out" / name).unlink()
    assert CARRIED_WITHOUT in stocked("--library", tmp_path / "older", "import", "everything", "out").out


def test_a_row_that_cannot_be_used_is_shown_with_its_file_and_line(stocked: Intake, tmp_path: Path) -> None:
    stocked("export", "everything", "out")
    boxes = tmp_path / "out" / "boxes.csv"
    boxes.write_bytes(boxes.read_bytes().replace(b"B2-47", b"B2-48"))
    (tmp_path / "out" / "notes.txt").write_text("mine", encoding="utf-8")
    said = stocked("--library", tmp_path / "again", "import", "everything", "out")
    assert said.status == 1
    assert "boxes.csv line 3: " in said.out
    assert "notes.txt" in said.out
    assert not (tmp_path / "again").exists()


def test_a_corrected_list_row_by_row_and_what_it_no_longer_has(stocked: Intake, tmp_path: Path) -> None:
    lines = (tmp_path / "copies.csv").read_text(encoding="utf-8").splitlines()
    text = "\n".join([lines[0], *lines[2:]]).replace("2,Study,F2,Fine", "2,Study,F2,Good")
    (tmp_path / "copies.csv").write_text(text + "\n", encoding="utf-8")
    said = stocked("import", "copies", "copies.csv", "--dry-run", "--rows")
    assert said.status == 0
    assert "copies.csv line 5: Ferns of the Inner Isles: copy A5-23: grade Fine -> Good\n" in said.out
    assert said.out.count(": unchanged\n") == 3
    assert said.out.endswith("would make nothing, altered 1 copy, 3 rows unchanged, 1 copy no longer listed\n")
    assert "A1-59 'Ferns of the Outer Isles'" in said.out


def test_any_box_is_named_by_its_digits(stocked: Intake) -> None:
    for digits, number in (("156", "B156-19"), ("247", "B247-73"), ("338", "B338-30")):
        assert stocked("box", "open", digits).status == 0
        assert number in stocked("box", "show", digits).out
    assert stocked("box", "show", "B1-56").status == 0
    assert stocked("box", "show", "1-56").status == 1
