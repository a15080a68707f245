"""What is special about the copy in the hand: another copy of it, or a value worth a picture. Invented."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import cv2
import numpy as np
import pytest

from intake.edges.store.library import Library
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_copy
from intake.flow.unpacking.attention import attention
from intake.flow.unpacking.station import book_line
from intake.flow.values.figures import Figure
from intake.flow.values.value_copies import value_copy
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import CopyState, Edition
from intake.model.valuations import Basis
from tests.flow.conftest import NOW, import_text

TODAY = date(2026, 3, 31)


def said(library: Library, copy_text: str, above: str = "250") -> tuple[str, ...]:
    with library.reading() as records:
        copy = find_copy(records, copy_text)
        edition = records.get(Edition, copy.edition_id)
        assert edition is not None
        return attention(records, copy, edition, above=Decimal(above))


def value(library: Library, amount: str) -> None:
    figure = Figure(amount=Decimal(amount), currency="EUR", on=TODAY, basis=Basis.MARKET)
    value_copy(library, "1", figure, station="test", today=TODAY)


@pytest.mark.parametrize(("above", "asked"), [("120.01", False), ("120.00", True), ("119.99", True)])
def test_from_an_amount_on_a_picture_is_asked_for(library: Library, above: str, asked: bool) -> None:
    sentences = said(library, "1", above)
    assert len(sentences) == asked
    assert all("picture" in sentence and "120" not in sentence for sentence in sentences), "a phone is shown it"


def test_the_latest_value_counts(library: Library) -> None:
    value(library, "5.00")
    assert said(library, "1", "100") == ()
    value(library, "700.00")
    assert len(said(library, "1", "100")) == 1


def test_a_copy_that_was_pictured_is_not_asked_for_again(arrived: Library) -> None:
    assert len(said(arrived, "4", "100")) == 1
    book_line(arrived, "1", "A4-32", request="r1", station="test", now=NOW)
    assert len(said(arrived, "4", "100")) == 1, "that it was seen is no picture of it"
    picture = cv2.imencode(".png", np.full((30, 40), 9, np.uint8))[1].tobytes()
    photograph_copy(arrived, "4", picture, station="test", now=NOW)
    assert said(arrived, "4", "100") == ()


def test_other_copies_are_named_with_where_they_are(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n3,G2\n,G2\n")
    packed, at_hand = said(library, "7"), said(library, "6")
    assert len(packed) == len(at_hand) == 1
    assert all(part in packed[0] for part in ("A6-14", "packed", "(box B3-38)"))
    assert "(" not in at_hand[0]
    assert "at hand" in at_hand[0]
    assert said(library, "5") == (), "it is the only one, and worth less"


def test_of_a_copy_that_left_no_picture_is_asked_for(arrived: Library) -> None:
    assert len(said(arrived, "4", "100")) == 1
    book_line(arrived, "1", "A4-32", request="r1", station="test", now=NOW)
    with arrived.reading() as records:
        copy = find_copy(records, "4")
    gone = replace(copy, state=CopyState.WITHDRAWN)
    arrived.apply(Action(ActionKind.EDIT_COPY, copy.accession, "test"), (Change(copy, gone),))
    assert said(arrived, "4", "100") == ()
