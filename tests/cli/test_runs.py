"""`intake run …` as a collector types it: the forms of the answers for programs, and one sentence for people."""

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Intake
from tests.flow.runs.household import COPIES, EDITIONS


@pytest.fixture
def household(intake: Intake, tmp_path: Path) -> Intake:
    for kind, text in (("editions", EDITIONS), ("copies", COPIES)):
        (tmp_path / f"{kind}.csv").write_text(text, encoding="utf-8")
        assert intake("import", kind, f"{kind}.csv").status == 0
    assert intake("run", "extent", "Tidewrack Quarterly", "1-60, annual 1-2").status == 0
    return intake


def test_the_answers_for_programs(household: Intake) -> None:
    gaps = json.loads(household("run", "gaps", "tidewrack", "--json").out)
    shown = json.loads(household("run", "show", "tidewrack", "--json").out)
    assert gaps == {
        "serial": "Tidewrack Quarterly",
        "known": "1-12, 12½, 13-60, annual 1-2",
        "held": "1-12, 12½, 13-40, annual 1",
        "gaps": ["41-60", "annual 2"],
        "remarks": shown["remarks"],
    }
    sought = json.loads(household("run", "seek", "tidewrack", "--parts", "41-50", "--budget", "80 EUR", "--json").out)
    assert sought["choose"] == [
        {"key": "T5", "title": "Tidewrack Later", "collects": "41-50", "price": "5.00", "stated": "5 EUR"}
    ]
    assert (sought["cost"], sought["currency"], sought["left"], sought["proved"]) == ("5.00", "EUR", [], True)
    spare = json.loads(household("run", "spare", "--json").out)
    (copy,) = spare["copies"]
    assert copy["collects"] == "Tidewrack Quarterly 1-20"
    assert len(copy["also_in"]) == 1
    assert (spare["freed_mm"], spare["proved"], spare["bound_mm"]) == (30, True, 30)
    assert {one["key"]: one["state"] for one in shown["editions"]}["T2"] == "boxed"
    assert {one["key"]: one["state"] for one in shown["editions"]}["T4"] == "wanted"


def test_the_answers_for_people(household: Intake) -> None:
    shown = household("run", "show", "tidewrack").out
    assert shown.startswith("Tidewrack Quarterly: 42 of 63 parts held, 2 gaps\n")
    assert household("run", "show", "tidewrack", "--published").out == "no.1-12;12½;13-40,annual 1\n"
    assert "not owned" in shown
    assert "wanted" not in shown
    assert "To read it with the fewest changes of volume" in shown
    assert "Left: annual 2 (proved)." in household("run", "seek", "tidewrack").out
    assert "free 30 mm of shelf" in household("run", "spare").out
    assert household("run", "extent", "Tidewrack Quarterly", "--clear").status == 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("show", "saltmarsh"), "is collected by no edition"),
        (("extent", "Tidewrack Quarterly", "60-1"), "runs backwards"),
        (("extent", "Tidewrack Quarterly"), "is missing"),
        (("seek", "tidewrack", "--budget", "80"), "has no currency"),
        (("seek", "tidewrack", "--budget", "$80"), "several currencies share"),
        (("seek", "tidewrack", "--budget", "1.000 EUR"), "may be 1000 or 1"),
        (("seek", "tidewrack", "--budget", "80 EUR", "--currency", "USD"), "not that of the budget"),
        (("seek", "tidewrack", "--parts", "61"), "beyond"),
        (("seek", "tidewrack", "--currency", "XXQ"), "ISO 4217"),
    ],
)
def test_what_is_wrong_is_refused(household: Intake, arguments: tuple[str, ...], words: str) -> None:
    refused = household("run", *arguments)
    assert refused.status != 0
    assert words in " ".join(refused.err.split())


@pytest.mark.parametrize("budget", ["80EUR", "€ 80", "80 €", "80,00 EUR", "EUR 80", "80 euros", "80,- EUR"])
def test_a_budget_is_read_as_people_write_amounts(household: Intake, budget: str) -> None:
    answer = json.loads(household("run", "seek", "tidewrack", "--budget", budget, "--json").out)
    assert answer == json.loads(household("run", "seek", "tidewrack", "--budget", "80 EUR", "--json").out)
    assert answer["currency"] == "EUR"
    assert answer["choose"]


def test_what_an_edition_collects_is_exported_as_it_was_imported(household: Intake, tmp_path: Path) -> None:
    assert household("export", "editions", "out.csv").status == 0
    assert "8 rows unchanged" in household("import", "editions", "out.csv").out
    assert "Tidewrack Quarterly 21-40, 12½" in (tmp_path / "out.csv").read_text(encoding="utf-8-sig")
