"""The shelves from the command line."""

import io
from pathlib import Path

import cv2
import pytest

from tests.cli.conftest import Intake
from tests.flow.shelves.test_check_shelf import photograph


def test_a_bookcase_made_by_a_short_dialogue(intake: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter(["five shelves of 800 mm", "Study", "Oak"])
    monkeypatch.setattr("click.prompt", lambda *_, **__: next(answers))
    made = intake("place", "make")
    assert made.status == 0
    assert "S3-84  Study · Oak · 1  800 mm wide" in made.out
    assert len([line for line in made.out.splitlines() if " mm wide" in line]) == 5
    assert "Anchor the bookcase" in made.out
    assert "65 % relative humidity" in made.out
    again = intake("place", "make", "two", "shelves", "of", "60", "cm", "--room", "Study", "--bookcase", "Oak")
    assert again.status == 1
    assert "has a bookcase Oak already" in again.err
    assert intake("place", "make", "five", "--room", "Study", "--bookcase", "B").status == 2


def test_a_day_at_the_shelves(stocked: Intake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "subject, then set" in stocked("order").out
    assert "by author, then title; alphabet: sv" in stocked("order", "author", "title", "--language", "sv").out
    assert "did you mean 'title'" in stocked("order", "titel").err
    assert stocked("order", "subject", "set", "volume", "title").status == 0

    packed = stocked("room", "1", "--done")
    assert packed.status == 1
    assert "unpack it from that box first" in packed.err
    monkeypatch.setattr("sys.stdin", io.StringIO("9780306406157\n"))
    assert "Put it on A 1, where no book is recorded yet." in stocked("unpack", "1", "--no-ask").out
    asked = stocked("room", "1")
    assert "Study · A 1 (shelf of 'Plants')" in asked.out
    assert "Leave 32 mm free after it for Volume 2." in asked.out
    assert "Copy A1-59 stands at A 1." in stocked("room", "1", "--done").out
    arranged = stocked("arrange")
    assert arranged.status == 0
    assert "0 copies move" in arranged.out

    loads = stocked("loads")
    assert "Study · A\n" in loads.out
    assert "structural engineer" in loads.out
    assert "IBC 2021, table 1607.1" in loads.out
    assert "A 1: Its sag is not known: the material of its board is not recorded." in loads.out
    assert stocked("draw", "A", "-o", "a.svg").out == "Wrote a.svg.\n"
    assert stocked("draw", "Nowhere", "-o", "a.svg").status == 1
    assert "3 labels." in stocked("print", "shelf-labels", "-o", "l.pdf").out
    assert "nothing was written" in stocked("print", "shelf-labels", "--changed", "-o", "m.pdf").out
    assert not (tmp_path / "m.pdf").exists()
    assert "1 label." in stocked("print", "spine-labels", "-o", "s.pdf").out

    shelf = stocked("place", "list").out.splitlines()[1].split()[0]
    cv2.imwrite(str(tmp_path / "shelf.png"), photograph([(["A1-59", "A2-50"], shelf)]))
    checked = stocked("check-shelf", "shelf.png", "--record")
    assert "Study · A · 1: 1 in place, 0 misplaced, 0 missing, 1 foreign" in checked.out
    assert "Foreign: A2-50 'A Guide to Gulls'" in checked.out
    assert "Recorded 2 copies as seen." in checked.out
