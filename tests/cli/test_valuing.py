"""Values, rates, conditions, schedules and verification as a person types them."""

from datetime import timedelta
from pathlib import Path

import pypdfium2
import pytest

from intake.edges import clock
from tests.cli.conftest import Intake

RATES = "Date,USD,JPY,\n{day},1.25,160.00,\n"


@pytest.fixture
def priced(stocked: Intake, tmp_path: Path) -> Intake:
    (tmp_path / "rates.csv").write_text(RATES.format(day=clock.today()), encoding="utf-8")
    assert stocked("rates", "import", "rates.csv").out == "rates.csv: 2 new rates, 0 corrected, 0 unchanged\n"
    (tmp_path / "consignment.csv").write_text("reference,carrier,boxes\nR 1,Invented Haulage,all\n", encoding="utf-8")
    assert stocked("import", "consignment", "consignment.csv").status == 0
    return stocked


def test_values(priced: Intake) -> None:
    total = priced("value", "total", "EUR").out
    assert "EUR 974.50" in total
    assert "EUR 1 = USD 1.25" in total
    assert "  agreed: EUR 720.00, 1 copy\n  market: EUR 250.00, 2 copies\n  replacement: EUR 4.50, 1 copy\n" in total
    assert "1 copy without a value" in total
    assert "is worth JPY 9,000" in priced("value", "copy", "2", "9000", "jpy", "--source", "a letter").out
    assert "EUR 1,030.75" in priced("value", "total", "EUR").out
    assert "Copies without a value: " in priced("value", "review", "EUR", "--years", "1").out
    assert "1.25" in priced("rates", "list", "USD").out
    assert "EUR 1 = CHF 0.9" in priced("rates", "enter", "EUR", "CHF", "0.9").out
    both = priced("rates", "list", "EUR").out  # of which every rate is given for one euro
    assert "USD 1.25" in both
    assert "CHF 0.9" in both
    assert priced("sets").out == (
        "Set 1  Ferns: 2 volumes in the catalog, no gap known\n  in box B1-56: volume 1\n  in box B2-47: volume 2\n"
    )
    assert "is worth EUR 400.00" in priced("value", "set", "1", "400", "EUR").out
    assert "loss of volume 1" in priced("sets").out
    assert "EUR 17,500.00" in priced("average", "20000", "350000", "400000", "EUR").out
    assert "Printing 3, 1996" in priced("number-line", "3 4 5 6 7 8 9 10 APC 00 99 98 97 96").out
    assert priced("number-line", "7 3 9").status == 0


def test_a_missing_rate_is_named_with_the_command_that_adds_it(priced: Intake, tmp_path: Path) -> None:
    assert priced("value", "copy", "2", "50", "GBP").status == 0
    command = f"intake rates enter EUR GBP RATE --on {clock.today()}"
    for arguments in (
        ("value", "total", "EUR"),
        ("value", "review", "EUR"),
        ("schedule", "insurance", "-o", "list.pdf"),
        ("schedule", "insurance", "-o", "list.xlsx"),
    ):
        assert command in priced(*arguments).out, arguments
    assert "replacement: GBP 50.00, 1 copy (not converted, not in the sum)" in priced("value", "total", "EUR").out
    assert priced(*command.replace("RATE", "0.8").split()[1:]).status == 0
    assert "EUR 1,037.00" in priced("value", "total", "EUR").out  # 974.50 + 50 / 0.8
    assert not [name for name in ("list.pdf", "list.xlsx") if not (tmp_path / name).exists()]


def test_what_looks_like_a_slip_is_asked_about(priced: Intake) -> None:
    # ISO 4217: the euro since 1999; a rate turned round is 1 / 1.25.
    assert "EUR was first in use on 1999-01-01" in priced("value", "copy", "1", "90", "EUR", "--on", "1985-05-04").out
    assert "Is that right?" not in priced("value", "copy", "1", "90", "DEM", "--on", "1985-05-04").out
    assert "DEM was last in use" in priced("value", "set", "1", "90", "DEM", "--on", "2010-05-04").out
    before = str(clock.today() - timedelta(days=1))
    assert priced("rates", "enter", "EUR", "CHF", "0.9", "--on", before).status == 0
    assert "Is that right?" in priced("rates", "enter", "EUR", "CHF", "1.45").out
    assert "Is that right?" not in priced("rates", "enter", "EUR", "CHF", "0.91").out


def test_lists_that_are_cut_say_how_to_see_all(priced: Intake) -> None:
    # Four values, and no rate of the Swiss franc.
    cut_short = priced("value", "total", "CHF", "--limit", "1").out
    assert "… and 3 more: --limit 4 shows all" in cut_short
    assert "more: --limit" not in priced("value", "total", "CHF", "--limit", "4").out
    assert priced("rates", "enter", "EUR", "CHF", "0.9", "--on", "2026-01-05").status == 0
    assert priced("rates", "enter", "EUR", "CHF", "0.9", "--on", "2026-01-06").status == 0
    assert "--limit 2 shows all" in priced("rates", "list", "CHF", "--limit", "1").out


def test_schedules_and_their_proof(priced: Intake, tmp_path: Path) -> None:
    defect = ("--defect", "boards=rubbed", "--stated", "bookplate", "--grade", "very good", "--jacket", "none")
    assert (
        "VG/no jacket"
        in priced("condition", "record", "1", *defect, "--signed", "Ada Thorn", "--number-line", "4 3 2").out
    )
    jobs = {
        "insurance.pdf": ("insurance", "--single-limit", "100", "--insured", "300", "--by", "class"),
        "insurance.xlsx": ("insurance",),
        "insurance.csv": ("insurance", "--basis", "market"),
        "high.pdf": ("high-value", "100"),
        "move.pdf": ("move", "R 1", "--paper", "letter"),
        "customs.csv": ("customs", "R 1"),
        "copy.pdf": ("copy", "1"),
    }
    for name, (kind, *arguments) in jobs.items():
        said = priced("schedule", kind, *arguments, "-o", name)
        assert said.status == 0, said.err
    assert priced("condition", "print", "-o", "condition.pdf").status == 0
    dossier = tmp_path / "copy.pdf"
    with pypdfium2.PdfDocument(dossier) as document:
        text = " ".join(str(page.get_textpage().get_text_range()) for page in document)
    assert "2nd printing (this copy)" in " ".join(text.split())
    assert "signed: Ada Thorn" in text
    for name in (*jobs, "condition.pdf"):
        checked = priced("verify", name)
        assert checked.status == 0, checked.err
        assert "still agrees" in checked.out
    assert priced("value", "copy", "1", "210", "EUR", "--basis", "market").status == 0
    for name in jobs:
        told = priced("verify", name).out
        assert "A1-59" in told, name
        assert "EUR 210.00" in told, name


def test_a_total_on_one_basis_says_which_basis_the_others_lack(priced: Intake) -> None:
    assert "without a value on the basis purchase" in priced("value", "total", "EUR", "--basis", "purchase").out
    assert "on the basis" not in priced("value", "total", "EUR").out


@pytest.mark.parametrize(
    ("arguments", "status", "named"),
    [
        (("value", "copy", "1", "1,500", "EUR"), 2, "'1,500'"),
        (("value", "copy", "1", "--", "-5", "EUR"), 2, "-5"),
        (("value", "copy", "1", "5", "QQQ"), 2, "'QQQ'"),
        (("value", "copy", "1", "5", "EUR", "--on", "2999-01-01"), 2, "2999-01-01"),
        (("value", "copy", "99", "5", "EUR"), 1, "A99-50"),
        (("value", "total", "QQQ"), 2, "'QQQ'"),
        (("rates", "import", "nowhere.csv"), 1, "nowhere.csv"),
        (("condition", "record", "1", "--defect", "roof=leaks"), 2, "'roof=leaks'"),
        (("condition", "record", "2", "--grade", "Fine"), 1, "A2-50"),
        (("schedule", "high-value", "999999", "-o", "x.pdf"), 1, "EUR 999,999.00"),
        (("schedule", "customs", "nowhere", "-o", "x.pdf"), 1, "nowhere"),
        (("average", "5", "1", "4", "EUR"), 2, "EUR 5.00"),
        (("average", "--", "-5", "1", "4", "EUR"), 2, "-5"),
        (("average", "5", "1", "10.005", "EUR"), 2, "10.005"),
        (("value", "copy", "1", "1e3", "EUR"), 2, "1e3"),
        (("value", "copy", "1", "1000000000000", "EUR"), 2, "1000000000000"),
        (("value", "total", "EUR", "--on", "2999-01-01"), 2, "2999-01-01"),
        (("value", "review", "EUR", "--on", "2999-01-01"), 2, "2999-01-01"),
        (("value", "set", "1", "5", "EUR", "--lacking", "1, 2"), 1, "2 volumes"),
        (("value", "set", "1", "5", "EUR", "--lacking", "3"), 1, "'3'"),
        (("value", "set", "1", "5", "EUR", "--lacking", "2, 2"), 2, "'2'"),
        (("schedule", "insurance", "--insured", "-5", "-o", "x.pdf"), 2, "-5"),
        (("schedule", "insurance", "--on", "2999-01-01", "-o", "x.pdf"), 2, "2999-01-01"),
        (("verify", "nowhere.pdf"), 1, "nowhere.pdf"),
        (("verify", "--text", "nothing"), 2, "--text"),
        (("verify",), 2, "--text"),
    ],
)
def test_what_is_wrong_is_said_in_one_sentence(
    priced: Intake, tmp_path: Path, arguments: tuple[str, ...], status: int, named: str
) -> None:
    before = priced("history").out, priced("value", "total", "EUR").out
    said = priced(*arguments)
    assert (said.status, said.out) == (status, "")
    assert named in said.err
    assert len(said.err.strip().splitlines()) == 1
    assert (priced("history").out, priced("value", "total", "EUR").out) == before
    assert not (tmp_path / "x.pdf").exists()


def test_a_total_without_its_currency_names_those_of_the_values(priced: Intake) -> None:
    refused = priced("value", "total")
    assert refused.status == 2
    assert "EUR" in refused.err
