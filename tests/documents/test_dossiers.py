"""A document about one copy: every section says what it has, and only that. The copy is invented."""

from dataclasses import replace
from datetime import date

import pytest

from intake.documents import dossiers
from intake.edges import fonts
from intake.model.pages import Page, RuledLine, Text
from intake.model.papers import A4_MM, LETTER_MM
from intake.model.schedules import Dossier, Section

COLUMNS = (("Day", 1.0), ("Value", 2.0))
WHOLE = Section(
    heading="Values",
    facts=(("Latest", "EUR 7.00"), ("Source", "")),
    sentences=("The latest counts.",),
    columns=COLUMNS,
    rows=(("2026-01-01", "EUR 5.00"), ("2026-02-01", "EUR 7.00")),
)
DOSSIER = Dossier(
    title="Ferns of the Outer Isles",
    number="A1-59",
    on=date(2026, 5, 1),
    facts=(("State", "shelved"), ("Note", "")),
    sections=(WHOLE,),
)


def lay_out(dossier: Dossier, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    return dossiers.lay_out(dossier, measure=fonts.measure, paper_mm=paper_mm)


def words(dossier: Dossier) -> list[str]:
    """What is printed, in the order in which it is set."""
    return [mark.text for page in lay_out(dossier) for mark in page.marks if isinstance(mark, Text)]


def rules(dossier: Dossier) -> int:
    return sum(isinstance(mark, RuledLine) for page in lay_out(dossier) for mark in page.marks)


def test_a_section_sets_its_facts_its_sentences_and_its_table_under_its_heading() -> None:
    printed = words(DOSSIER)
    order = ["Values", "Latest", "EUR 7.00", "The latest counts.", "Day", "Value", "2026-01-01", "EUR 5.00"]
    assert [printed.index(text) for text in order] == sorted(printed.index(text) for text in order)
    assert {"2026-02-01", "shelved", "2026-05-01", "A1-59"} <= set(printed)
    assert "Source" not in printed
    assert "Note" not in printed


@pytest.mark.parametrize(
    ("section", "printed", "left_out"),
    [
        (replace(WHOLE, facts=()), {"The latest counts.", "EUR 5.00"}, {"Latest"}),
        (replace(WHOLE, sentences=()), {"Latest", "EUR 5.00"}, {"The latest counts."}),
        (replace(WHOLE, rows=()), {"Latest", "The latest counts."}, {"Day", "Value", "EUR 5.00"}),
    ],
)
def test_a_section_without_a_part_sets_the_others(section: Section, printed: set[str], left_out: set[str]) -> None:
    said = set(words(replace(DOSSIER, sections=(section,))))
    assert printed | {"Values"} <= said
    assert not left_out & said


def test_who_signs_has_a_line_and_who_does_not_has_none() -> None:
    signed = replace(DOSSIER, signatures=("Owner", "Carrier"))
    assert {"Owner", "Carrier"} <= set(words(signed))
    assert rules(signed) == rules(DOSSIER) + 2


def test_a_proof_is_set_where_there_is_one() -> None:
    assert "Proof" not in words(DOSSIER)
    assert "Proof" in words(replace(DOSSIER, proof="intake-proof 1; list=x"))


def test_several_copies_begin_each_on_a_page_of_its_own() -> None:
    other = replace(DOSSIER, number="A2-50", sections=(WHOLE,) * 12)
    pages = dossiers.lay_out_all([other, DOSSIER], measure=fonts.measure, paper_mm=LETTER_MM)
    numbers = [
        next(mark.text for mark in page.marks if isinstance(mark, Text) and mark.text in ("A1-59", "A2-50"))
        for page in pages
    ]
    assert numbers == ["A2-50"] * (len(pages) - 1) + ["A1-59"]
    assert len(pages) == len(lay_out(other, LETTER_MM)) + 1
    assert {(page.width_mm, page.height_mm) for page in pages} == {LETTER_MM}
