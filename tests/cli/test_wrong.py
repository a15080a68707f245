"""What goes wrong: one sentence, the right exit status, and the library as it was."""

import errno
import io
from pathlib import Path

import pytest

from intake.flow.lists import import_file
from intake.flow.papers import render
from tests.cli.conftest import Intake, Said
from tests.flow.conftest import CATALOG


def one_sentence(said: Said) -> bool:
    lines = said.err.strip().splitlines()
    return len(lines) == 1 and lines[0].endswith(".")


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["frobnicate"], "frobnicate"),
        (["read"], "contains no pictures"),
        (["import", "colours", "x.csv"], "colours"),
        (["import", "editions", "editions.csv", "--map", "title"], "--map"),
        (["import", "editions", "editions.csv", "--map", "colour=Title"], "colour"),
        (["print", "inventory", "-o", "inventory.odt"], "inventory.odt"),
        (["print", "shelf-labels", "-o", "x.pdf", "--template", "a4-3x9"], "a4-3x9"),
        (["print", "shelf-labels", "-o", "x.pdf", "--start", "25"], "25"),
        (["pile", "decide", "1"], "decision"),
    ],
)
def test_wrong_use_ends_with_2(stocked: Intake, arguments: list[str], named: str) -> None:
    said = stocked(*arguments)
    assert said.status == 2
    assert named in said.err
    assert one_sentence(said)


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["import", "editions", "nowhere.csv"], "nowhere.csv"),
        (["read", "nowhere.jpg"], "nowhere.jpg"),
        (["box", "open", "1"], "recorded already"),
        (["box", "close", "B1-57"], "check"),
        (["box", "close", "9"], "not in this library"),
        (["unpack", "2"], "checked in"),
        (["shelve", "S1-00", "1"], "check"),
        (["print", "master-list", "R-9", "-o", "x.pdf"], "R-9"),
        (["print", "shelf-labels", "-o", "no/such/folder/x.pdf"], "x.pdf"),
        (["history", "A99-70"], "A99-70"),
        (["undo", "4711"], "4711"),
        (["pile", "decide", "3", "--not-a-book"], "Query 3"),
    ],
)
def test_a_failed_job_ends_with_1_and_changes_nothing(stocked: Intake, arguments: list[str], named: str) -> None:
    before = stocked("status").out
    said = stocked(*arguments)
    assert said.status == 1
    assert named in said.out + said.err
    assert stocked("status").out == before


def test_a_list_in_the_wrong_encoding_names_the_line(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "old.csv").write_bytes("title\nMère\n".encode("latin-1"))
    said = intake("import", "editions", "old.csv")
    assert (said.status, one_sentence(said)) == (1, True)
    assert "line 2: Mère" in said.err
    assert "--encoding cp1252|" in said.err


def test_a_missing_column_is_named(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("isbn,author\n9780110002224,A\n", encoding="utf-8")
    said = intake("import", "editions", "list.csv")
    assert (said.status, one_sentence(said)) == (1, True)
    assert "'title'" in said.err


def test_bad_rows_are_listed_and_nothing_is_imported(stocked: Intake, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text("title,isbn\nA,9780110002225\nB,9780110002224\n", encoding="utf-8")
    before = stocked("status").out
    said = stocked("import", "editions", "more.csv")
    assert said.status == 1
    assert "more.csv line 2" in said.out
    assert stocked("status").out == before
    assert stocked("import", "editions", "more.csv", "--skip-bad-rows").status == 0


def test_a_full_disk_is_said_plainly(stocked: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_arguments: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", "inventory.csv")

    monkeypatch.setattr(render, "write_whole", full)
    said = stocked("print", "inventory", "-o", "inventory.csv")
    assert (said.status, one_sentence(said)) == (1, True)
    assert "disk is full" in said.err


def test_no_library_yet(intake: Intake) -> None:
    said = intake("status")
    assert (said.status, one_sentence(said)) == (1, True)


def test_an_unexpected_error_is_a_sentence_and_a_file(stocked: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_arguments: object, **_options: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(import_file, "open_list", broken)
    said = stocked("import", "editions", "editions.csv")
    assert (said.status, one_sentence(said)) == (1, True)
    report = Path(said.err.split("Details are in ")[1].strip().removesuffix("."))
    assert "ZeroDivisionError" in report.read_text(encoding="utf-8")
    report.unlink()


def test_a_template_with_an_unknown_field_names_it(stocked: Intake, tmp_path: Path) -> None:
    own = (Path(__file__).parent.parent.parent / "label_templates" / "a4-3x8.toml").read_text(encoding="utf-8")
    (tmp_path / "own.toml").write_text(own.replace("{range}", "{rnage}"), encoding="utf-8")
    said = stocked("print", "shelf-labels", "-o", "x.pdf", "--template", "own.toml")
    assert said.status == 1
    assert "'rnage'" in said.err
    assert not (tmp_path / "x.pdf").exists()


def test_a_map_names_a_column_of_another_heading(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "werke.csv").write_text(CATALOG.replace("key,number", "key,Strichcode", 1), encoding="utf-8")
    assert intake("import", "editions", "werke.csv", "--map", "number=Strichcode").status == 0
    assert "Ferns of the Outer Isles" in intake("find", "9780306406157").out


def test_a_dry_run_of_what_would_be_refused_says_so(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_text("title,number\nFerns,978-0-306-40615-8\nGulls,\n", encoding="utf-8")
    dry = intake("import", "editions", "bad.csv", "--dry-run")
    real = intake("import", "editions", "bad.csv")
    assert (dry.status, real.status) == (1, 1)
    assert "would make" not in dry.out
    skipping = intake("import", "editions", "bad.csv", "--dry-run", "--skip-bad-rows")
    assert (skipping.status, "would make 1 edition" in skipping.out) == (0, True)


def test_several_copies_are_packed_all_or_none(stocked: Intake) -> None:
    assert stocked("box", "open", "7").status == 0
    assert stocked("pack", "7", "G2", "NOPE").status == 1
    assert "G2" not in stocked("box", "show", "7").out
    assert stocked("history", "A6").status == 1


def test_a_book_has_a_title(stocked: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("9790000000001\n"))
    assert stocked("unpack", "1", "--no-ask").status == 0
    assert stocked("pile", "decide", "1", "--new-title", "  ").status == 1
    assert "9790000000001" in stocked("pile", "list").out


def test_the_history_of_a_copy_that_was_taken_back_stays(stocked: Intake) -> None:
    assert stocked("box", "open", "7").status == 0
    assert stocked("pack", "7", "G2").status == 0
    assert stocked("undo").status == 0
    assert stocked("history", "A6").out.count("A6-") >= 1


def test_a_group_alone_shows_its_help_and_no_more(intake: Intake) -> None:
    said = intake("box")
    assert said.status == 2
    assert said.err.rstrip().splitlines()[-1].startswith("  ")


def test_a_set_is_valued_without_volumes_that_it_has(stocked: Intake) -> None:
    assert stocked("value", "set", "1", "700", "EUR", "--lacking", "9").status == 1
    assert stocked("value", "set", "1", "700", "EUR", "--lacking", "2").status == 0
