"""Merging two editions: what wins field by field, by exhaustion, and what becomes of printings and sums."""

from dataclasses import fields, replace
from decimal import Decimal
from itertools import product
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.merge_editions import MERGED_FIELDS, merge_fields, plan_edition_merge
from intake.flow.lists.import_list import ListKind
from intake.model.editions import Copy, Edition, Printing
from intake.model.valuations import Valuation
from tests.flow.conftest import import_text

EMPTY = Edition(id=1, title="")
FULL = Edition(
    id=2, title="Ferns", key="K", number="9780306406157", add_on="05", contributors=("Ima Ginary",), volume="1",
    publisher="Nowhere", year=1990, statement="1st", binding="cloth", language="eng", subject="Plants", set_id=3,
    call_number="587",
    collects="Tide 1-5", price=Decimal("12.50"), currency="EUR", why="read aloud",
    printed_in="Utopia", hs_heading="4901.99", pages=90, height_mm=240.0, width_mm=170.0,
    thickness_mm=20.0, mass_g=900.0,
)  # fmt: skip
OTHER = Edition(
    id=3, title="Mosses", key="L", number="9783161484100", add_on="06", contributors=("Éve Nonesuch",), volume="2",
    publisher="Erewhon", year=1991, statement="2nd", binding="paper", language="fre", subject="Moss", set_id=4,
    call_number="588",
    collects="Tide 6-9", price=Decimal("13.50"), currency="USD", why="a gift",
    printed_in="Atlantis", hs_heading="4903", pages=91, height_mm=241.0, width_mm=171.0,
    thickness_mm=21.0, mass_g=901.0,
)  # fmt: skip


def test_the_records_of_this_test_have_every_field() -> None:
    assert tuple(field.name for field in fields(Edition))[1:] == MERGED_FIELDS
    assert all(getattr(FULL, name) != getattr(OTHER, name) != getattr(EMPTY, name) for name in MERGED_FIELDS)


@pytest.mark.parametrize("name", MERGED_FIELDS)
def test_a_value_wins_over_none_and_the_kept_one_over_another_unless_it_is_taken(name: str) -> None:
    """All that can be: each of the two has no value, one or another, and the other's is taken or not."""
    none, one, two = (getattr(edition, name) for edition in (EMPTY, FULL, OTHER))
    for mine, theirs, taken in product((none, one, two), (none, one, two), (False, True)):
        kept, other = (replace(EMPTY, **{name: value}) for value in (mine, theirs))
        merges = merge_fields(kept, other, [name] if taken else [])
        expected = {
            (none, none): none, (none, one): one, (none, two): two,
            (one, none): one, (two, none): two, (one, one): one, (two, two): two,
            (one, two): two if taken else one, (two, one): one if taken else two,
        }[mine, theirs]  # fmt: skip
        assert (merges[0].value if merges else mine) == expected
        assert [merge.field for merge in merges] == ([name] if mine != theirs else [])


def test_copies_printings_and_sums_are_the_same_after_a_merge(library: Library, tmp_path: Path) -> None:
    import_text(
        library, tmp_path, ListKind.PRINTINGS,
        "key,printing,year,number_line\nG1,1,1980,\nG1,2,,5 4 3 2\nG2,1,,\nG2,2,1999,5 4 3 2\nG2,3,,\n",
    )  # fmt: skip
    import_text(
        library, tmp_path, ListKind.COPIES,
        "key,printing,value,currency\nG2,1,10.00,EUR\nG2,2,20.00,EUR\nG2,3,30.00,EUR\nG1,2,40.00,EUR\n",
    )  # fmt: skip
    with library.reading() as records:
        copies = {copy.accession: copy for copy in records.all(Copy)}
        total = sum((value.amount for value in records.all(Valuation)), Decimal(0))
        ordinals = {row.id: row.ordinal for row in records.all(Printing)}
        plan = plan_edition_merge(records, "G2", "G1", despite=True, station="test")
    assert apply_correction(library, plan) is not None
    with library.reading() as records:
        after = {copy.accession: copy for copy in records.all(Copy)}
        assert after.keys() == copies.keys()
        assert sum((value.amount for value in records.all(Valuation)), Decimal(0)) == total
        printings = {row.id: row for row in records.all(Printing)}
        # The first is one (1980 fills nothing), the second one that gets its year, the third comes over.
        assert sorted((row.ordinal, row.year) for row in printings.values()) == [(1, 1980), (2, 1999), (3, None)]
        assert {row.edition_id for row in printings.values()} == {after["A2-50"].edition_id}
        for accession, copy in copies.items():
            if copy.printing_id is not None:
                now = after[accession].printing_id
                assert now is not None
                assert printings[now].ordinal == ordinals[copy.printing_id]
