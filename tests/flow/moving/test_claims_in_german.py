"""Claims in German: each text of each regime is in the catalogue, and no message is left in English.

What the German says is not proved here; the terms are those of the German texts of the conventions and of the HGB.
"""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from pathlib import Path

import pytest

from intake.carriage.regimes import REGIMES
from intake.edges import catalogues
from intake.edges.store.library import Library
from intake.flow.moving.claim_words import limits_paper
from intake.flow.moving.claims import ClaimRequest, plan_claim
from intake.model.carriage import Counted, Goods, Lateness, LiabilityRegime, LiabilityTerms, Packer, PeriodKind
from intake.model.moving_papers import LimitsPaper
from intake.units.language import speaking
from tests.flow.moving import test_claims as arrived
from tests.flow.moving import test_claims_never_delivered as never
from tests.flow.moving import test_claims_of_sets as of_sets
from tests.flow.moving.test_claims import lost, lost_made
from tests.flow.papers.test_languages import GERMAN, Unknown, forms, left_in_english, unknown
from tests.languages.messages import read_catalogue
from tests.made_library import copy_library

__all__ = ["lost", "lost_made", "unknown"]
USED = [regime for regime in REGIMES.values() if not regime.refused]
OF_NO_PAPER = {"name", "unit", "excluded", "refused"}
"""What a person types, a code, and what is said where a regime cannot be used."""


def texts(record: object) -> Iterator[str]:
    """Yield every text in a record that a paper may show."""
    if isinstance(record, str) and record and (not isinstance(record, StrEnum) or type(record) in SHOWN):
        yield record
    elif isinstance(record, tuple):
        for part in record:
            yield from texts(part)
    elif is_dataclass(record):
        for field in fields(record):
            if field.name not in OF_NO_PAPER:
                yield from texts(getattr(record, field.name))


SHOWN = (Counted, Lateness, PeriodKind)


def shown(paper: LimitsPaper) -> str:
    """Return everything that the sheet says."""
    words: list[str] = [paper.regime, *paper.deliveries]
    for rows in (paper.facts, paper.periods, paper.losses, paper.limits, paper.counted):
        words += (cell for row in rows for cell in row)
    words += (line for heading, lines in paper.notes for line in (heading, *lines))
    return "\n".join(words)


@pytest.mark.parametrize("regime", USED, ids=lambda regime: regime.name)
def test_every_text_of_a_regime_is_translated(regime: LiabilityRegime) -> None:
    catalogue = {message for message, _ in forms(read_catalogue(GERMAN))}
    assert set(texts(regime)) - catalogue == set()


def stated(regime: LiabilityRegime) -> LiabilityTerms:
    """Return terms with everything that a person can state."""
    goods = next((goods for goods in Goods if goods not in regime.excluded), None)
    return LiabilityTerms(
        regime=regime, currency="EUR", rate=Decimal("1.2"), rate_source="eine Bank", per_kg=Decimal(5), goods=goods,
        packed_by=Packer.OWNER, packages=3, volume_m3=Decimal("2.5"), charges=Decimal(102), declared=Decimal(9000),
        holidays=frozenset({date(2026, 5, 1)}),
    )  # fmt: skip


@pytest.fixture
def sent(library_made: Path, tmp_path: Path) -> Iterator[Library]:
    with copy_library(library_made, tmp_path / "sent") as opened:
        yield never.send(opened)


@pytest.mark.parametrize("regime", USED, ids=lambda regime: regime.name)
def test_a_claim_has_no_message_left_in_english(
    lost: Library, sent: Library, unknown: Unknown, regime: LiabilityRegime
) -> None:
    most = stated(regime)
    other = None if regime.excluded else Goods.HOUSEHOLD
    least = replace(
        most, rate_on=arrived.TODAY, goods=other or most.goods, packed_by=None, packages=None, declared=Decimal(1),
        holidays=frozenset(),
    )  # fmt: skip
    words = ""
    with speaking(catalogues.find_language("de")):
        for library, terms, today, more in (
            (lost, most, arrived.TODAY, {"insured": Decimal(200), "delivered": arrived.EARLIER}),
            (lost, least, date(2026, 5, 16), {}),
            (sent, most, never.TODAY, {"awaited_lost": True}),
            (sent, least, never.TODAY, {}),
        ):
            request = replace(ClaimRequest(terms=terms), **more)
            with library.reading() as records:
                claim = plan_claim(records, "R-1" if library is lost else "T-9", request, today=today)
            words += shown(limits_paper(claim, today=today))
    assert unknown.asked == set()
    assert left_in_english(words) == []
    assert "2026-05-" not in words
    assert "04.05.2026" in words


def test_what_sets_lost_has_no_message_left_in_english(tmp_path: Path, unknown: Unknown) -> None:
    library = of_sets.moved(tmp_path, double=False)
    of_sets.value_whole_and_rest(library)
    of_sets.unpacked(library, ("W1", "B1-56"), ("W2", "B1-56"), ("GU", "B2-47"))
    with speaking(catalogues.find_language("de")):
        words = shown(limits_paper(of_sets.claim_of(library, insured="400"), today=of_sets.TODAY))
    assert unknown.asked == set()
    assert left_in_english(words) == []
    assert "329,00\N{NO-BREAK SPACE}EUR" in words  # 520 less 191: what the loss took from the set
