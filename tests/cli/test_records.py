"""What the commands say of the records: where a list is cut, what waits, what is on no list, how an answer is named."""

import io

import pytest

from intake.cli.context import CommandContext
from intake.cli.unpacking import asker
from intake.flow.unpacking.scan_results import Question, Scan
from tests.cli.conftest import Intake


def scanned(stocked: Intake, monkeypatch: pytest.MonkeyPatch, *lines: str) -> str:
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    said = stocked("unpack", "1", "--no-ask")
    assert said.status == 0
    return said.out


def test_a_query_is_decided_by_the_name_of_an_answer(stocked: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    scanned(stocked, monkeypatch, "ferns")
    shown = stocked("pile", "list").out
    assert "listed:A1-59  Ferns of the Outer Isles, vol. 1 (1990): copy A1-59, listed in box B1-56" in shown
    assert "intake pile decide 1 --as NAME" in shown
    assert "--new-title TITLE" in shown, "a query without an answer has a way too"
    # Taken out by another station meanwhile: the first of the list is another book, and the name is refused.
    scanned(stocked, monkeypatch, "9780306406157")
    gone = stocked("pile", "decide", "1", "--as", "listed:A1-59")
    assert (gone.status, "now it is copy A1-59 again, which was seen already" in gone.err) == (1, True)
    assert stocked("pile", "decide", "1", "--as", "1").status == 1
    assert stocked("pile", "decide", "1", "--as", "listed:A5-23").out == "Query 1 is copy A5-23.\n"


def test_a_box_with_queries_is_finished_knowingly(stocked: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    scanned(stocked, monkeypatch, "illegible", "illegible too")
    refused = stocked("box", "finish", "1", "--reason", "gap")
    assert (refused.status, "2 queries waiting (1, 2)" in refused.err) == (1, True)
    done = stocked("box", "finish", "1", "--reason", "gap", "--despite-queries")
    assert done.status == 0
    assert "Box B1-56 has 2 queries waiting (1, 2)." in done.out
    assert "1 box finished, 0 begun, 0 arrived and closed, 1 awaited" in stocked("reconcile").out


def test_what_is_on_no_list_is_counted_apart(stocked: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    scanned(stocked, monkeypatch, "1-85798-218-5")
    assert stocked("pile", "decide", "1", "--as", "new:4").status == 0
    row = next(line for line in stocked("box", "list").out.splitlines() if line.startswith("B1-56"))
    assert row.split()[-4:] == ["4", "0", "0", "1"], "listed, seen, missing, on no list"
    assert "unpacked, on no list" in stocked("box", "show", "1").out


def test_a_list_that_is_cut_says_so_and_how_to_see_all(stocked: Intake) -> None:
    cut = stocked("history", "--limit", "2").out
    assert len(cut.splitlines()) == 4
    assert "--limit shows more" in cut
    assert "--limit" not in stocked("history").out
    assert "--limit shows them" in stocked("find", "isles", "--limit", "1").out
    assert "--limit" not in stocked("find", "isles").out


def test_packing_what_is_packed_says_where_it_is(stocked: Intake) -> None:
    said = stocked("pack", "2", "F1")
    assert (said.status, "copy A1-59 is listed in box B1-56" in said.err) == (1, True)
    assert stocked("pack", "2", "F1", "--another").out == "Copy A6-14 is in box B2-47.\n"


def test_an_earlier_condition_report_says_what_it_leaves_as_it_is(stocked: Intake) -> None:
    assert stocked("condition", "record", "1", "--grade", "Fair").status == 0
    said = stocked("condition", "record", "1", "--grade", "Fine", "--on", "2020-01-31")
    assert said.out.splitlines() == [
        "Copy A1-59, before the move: F; 2020-01-31",
        "Its present condition is not changed by this report: Fair/no jacket",
    ]
    assert stocked("condition", "record", "1", "--on", "2999-01-01").status == 2


def test_a_scan_at_an_open_question_is_kept_for_after_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    typed = iter(["9780306406157", "77", "", "1"])
    monkeypatch.setattr("click.prompt", lambda _words, default: next(typed) or default)
    said: list[str] = []
    monkeypatch.setattr(CommandContext, "say", lambda _self, text="", style=None: said.append(text))
    later: list[str] = []
    ask = asker(CommandContext(None), later)  # type: ignore[arg-type] # it asks for no setting
    question = Question(Scan("ferns", "r"), "B1-56", (), ())
    assert ask(question) is None
    assert later == ["9780306406157"]
    assert any("is booked next" in words for words in said)
    assert any("77 is not one of the answers" in words for words in said)
