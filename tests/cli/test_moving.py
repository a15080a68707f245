"""The move from the command line: plan, weigh, lift, receive, reconcile, claim; and what goes wrong."""

from pathlib import Path

import pypdfium2
import pytest

from tests.cli.conftest import Intake


def test_a_plan_is_shown_printed_and_booked(stocked: Intake, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text("key\nG2\nO1\n", encoding="utf-8")
    assert stocked("import", "copies", "more.csv").status == 0
    kind = ("--kind", "tea chest", "42x33x31 cm", "900 g", "40 lb", "-")
    shown = stocked("plan", *kind, "--seconds", "0", "-o", "plan.pdf")
    assert shown.status == 0, shown.err
    assert "no plan under the same rules needs fewer" in shown.out
    assert "tea chest" in shown.out
    with pypdfium2.PdfDocument(tmp_path / "plan.pdf") as document:
        assert "Packing plan" in document[0].get_textpage().get_text_range()
    booked = stocked("plan", *kind, "--seconds", "0", "--book")
    assert "Booked with ledger entry" in booked.out
    assert stocked("undo").status == 0


def test_lifting_shows_its_multipliers_its_source_and_its_limits(stocked: Intake) -> None:
    light = stocked("lift", "10 kg")
    assert light.status == 0
    assert "NIOSH publication 94-110, revised 2021" in light.out
    assert "local rules decide" in light.out
    assert "Above 1" not in light.out
    assert "Above 1" in stocked("lift", "60 lb", "--reach", "20 in", "--turn", "45").out
    assert "as estimated from its list" in stocked("lift", "1").out
    assert stocked("weigh", "1", "17.3 kg").status == 0
    assert "17.30 kg as weighed" in stocked("lift", "1").out
    assert stocked("lift", "10 kg", "--hours", "9").status == 2


def test_a_box_is_weighed_and_a_parcel_guessed(stocked: Intake) -> None:
    weighed = stocked("weigh", "1", "7 lb 4 oz")
    assert "Box B1-56 weighs 3.29 kg (arrived)" in weighed.out
    assert "by its list" in weighed.out
    parcel = stocked("parcel", "1.26 kg", "--box", "1", "--thickness", "32 mm", "--height", "28 cm")
    assert parcel.status == 0
    assert "something that is on no list" in parcel.out


def test_from_the_delivery_to_the_letter(stocked: Intake, tmp_path: Path) -> None:
    assert stocked("box", "close", "2", "--gross", "9 kg", "--seal", "Q2").status == 0
    assert "has 2 boxes" in stocked("consign", "add", "R-1", "1", "2", "--carrier", "Invented Haulage").out
    assert "430 x 340 x 320 mm" in stocked("consign", "measure", "2", "43x34x32 cm").out
    shown = stocked("consign", "show", "R-1", "--round-to", "0.5 kg")
    assert "W/M 0.047" in shown.out
    assert "1 box is not weighed or not measured" in shown.out
    arrived = stocked("box", "arrive", "2", "--carton", "crushed", "--seal", "broken", "--gross", "8.9 kg")
    assert "delivery note" in arrived.out
    assert stocked("box", "finish", "1", "--reason", "an empty gap").status == 0
    said = stocked("reconcile", "R-1", "-o", "report.pdf")
    assert "carton crushed; seal Q2: broken" in said.out
    assert "an empty gap" in said.out
    claim = ("claim", "R-1", "--regime", "montreal", "--currency", "eur", "--rate", "1.2")
    owed = stocked(*claim, "--notice", "notice.pdf", "--sheet", "sheet.pdf", "--insured", "100")
    assert owed.status == 0, owed.err
    assert "Not legal advice: the contract and local law decide." in owed.out
    assert "Montreal Convention 1999, article 22(3)" in owed.out
    assert "14 days left" in owed.out
    assert stocked("print", "face-labels", "2", "-o", "faces.pdf", "--stacking", "60 kg").status == 0
    for name in ("report.pdf", "notice.pdf", "sheet.pdf", "faces.pdf"):
        with pypdfium2.PdfDocument(tmp_path / name) as document:
            assert len(document) == 1


def test_damage_is_recorded_once_the_copy_is_out(stocked: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    refused = stocked("damage", "1", "boards", "crushed")
    assert (refused.status, "unpack it first" in refused.err) == (1, True)


@pytest.mark.parametrize(
    ("arguments", "status", "named"),
    [
        (("weigh", "1", "12.5"), 2, "'12.5'"),
        (("weigh", "1", "--", "-3 kg"), 2, "'-3 kg'"),
        (("parcel", "0 g"), 2, "'0 g'"),
        (("parcel", "1 kg", "--box", "77"), 1, "B77-51"),
        (("weigh", "2"), 1, "B2-47"),
        (("plan", "--kind", "x", "1x1x1 m", "2 kg", "1 kg", "-"), 2, "'x'"),
        (("plan", "--kind", "x", "42x33 cm", "2 kg", "1 kg", "-"), 2, "'42x33 cm'"),
        (("consign", "show", "nowhere"), 1, "nowhere"),
        (("reconcile", "nowhere"), 1, "nowhere"),
        (("reconcile", "-o", "x.pdf"), 2, "report"),
        (("claim", "R", "--regime", "cmr", "--currency", "ZZZ"), 2, "'ZZZ'"),
        (("claim", "R", "--regime", "cmr", "--currency", "EUR", "--delivered", "May"), 2, "'May'"),
        (("claim", "R", "--regime", "cmr", "--currency", "EUR", "--rate", "NaN"), 2, "'NaN'"),
        (("box", "arrive", "2", "--delivered", "2999-01-01"), 2, "2999-01-01"),
    ],
)
def test_what_cannot_be_meant_is_told_in_a_sentence(
    stocked: Intake, arguments: tuple[str, ...], status: int, named: str
) -> None:
    before = stocked("history").out
    said = stocked(*arguments)
    assert said.status == status
    assert named in said.err
    assert len(said.err.strip().splitlines()) == 1
    assert stocked("history").out == before


def test_a_box_does_not_travel_twice_at_once(stocked: Intake) -> None:
    assert stocked("consign", "add", "R-1", "2").status == 0
    refused = stocked("consign", "add", "R-2", "2")
    assert (refused.status, "travels in consignment R-1" in refused.err) == (1, True)
