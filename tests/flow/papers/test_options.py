"""What a person may type for the options of papers, and what is offered for them."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import places_in
from intake.errors import UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.papers import option_fields as fields
from intake.flow.papers.options import PaperOption, PaperOptions, Suggestion, missing, typed, with_typed
from intake.flow.papers.suggestions import suggestions
from intake.model.papers import A4_MM, LETTER_MM
from tests.flow.conftest import import_text


@pytest.mark.parametrize(("text", "number"), [("1", 1), ("3", 3), ("007", 7), ("999999", 999_999)])
def test_a_count_is_a_whole_number_from_one(text: str, number: int) -> None:
    assert fields.count(text) == number


@pytest.mark.parametrize("text", ["0", "-1", "1.5", "one", "", "1000000", "1e3"])
def test_what_is_no_count(text: str) -> None:
    with pytest.raises(UsageError):
        fields.count(text)


@pytest.mark.parametrize(("text", "seconds"), [("0", 0), ("0.5", 0.5), ("3600", 3600)])
def test_a_time_is_an_hour_at_most(text: str, seconds: float) -> None:
    assert fields.seconds(text) == seconds


@pytest.mark.parametrize("text", ["3600.1", "3601", "-1", "long"])
def test_what_is_no_time(text: str) -> None:
    with pytest.raises(UsageError):
        fields.seconds(text)


def test_a_flag_is_said_or_not_said() -> None:
    assert (typed(fields.SHELVED, "yes"), typed(fields.SHELVED, "")) == (True, False)


def test_several_things_are_typed_with_commas_or_spaces_and_chosen_one_by_one() -> None:
    assert typed(fields.SHELVES, "S1-98, S2-89  S3-80") == ("S1-98", "S2-89", "S3-80")
    # What a form offers is chosen whole: a name may have a space.
    assert typed(fields.BOOKCASES, "by the window") == ("by the window",)


def test_a_choice_is_one_of_those_offered() -> None:
    assert typed(fields.SIZE, "letter") == "letter"
    for text in ("a3", "A4"):
        with pytest.raises(UsageError):
            typed(fields.SIZE, text)
    assert typed(fields.STACKING, "60 kg") == 60_000


def test_an_empty_field_leaves_what_was_there() -> None:
    before = PaperOptions(owner="Ada Thorn", limit=Decimal(5), shelved=True)
    options = (fields.OWNER, fields.LIMIT, fields.SHELVED, fields.START)
    assert with_typed(before, options, {"owner": " ", "limit": "", "address": "Shore Road 1"}) == before
    read = with_typed(before, options, {"owner": " Bo Lind ", "start": "4"})
    assert read == replace(before, owner="Bo Lind", start=4)


def test_what_is_required_is_missing_until_it_is_chosen() -> None:
    needed = (fields.COPY, fields.LIMIT, fields.OWNER, PaperOption(name="boxes", label="", summary="", required=True))

    def names(chosen: PaperOptions) -> list[str]:
        return [option.name for option in missing(needed, chosen)]

    assert names(PaperOptions()) == ["copy", "limit", "boxes"]
    assert names(PaperOptions(copy="1", limit=Decimal(0))) == ["boxes"], "no amount is not an amount of nothing"
    assert names(PaperOptions(copy="1", limit=Decimal(5), boxes=("1",))) == []


def test_the_size_of_the_paper() -> None:
    assert (PaperOptions().paper_mm, PaperOptions(size="letter").paper_mm) == (A4_MM, LETTER_MM)


def test_a_form_offers_what_the_library_has(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.BOXES, "box\n" + "".join(f"{n}\n" for n in range(3, 11)))
    import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference\nR-1\nR-2\n")
    asked = (Suggestion.BOXES, Suggestion.CONSIGNMENTS, Suggestion.BOOKCASES, Suggestion.TEMPLATES, Suggestion.BOXES)
    with library.reading() as records:
        offered = suggestions(records, asked)
        (room,) = places_in(records, None)
        bookcases = tuple(place.number for place in places_in(records, room.number))
        assert suggestions(records, ()) == {}
    assert [number.split("-")[0] for number in offered[Suggestion.BOXES]] == [f"B{n}" for n in range(1, 11)]
    assert offered[Suggestion.CONSIGNMENTS] == ("R-1", "R-2")
    assert offered[Suggestion.BOOKCASES] == bookcases
    assert Suggestion.TEMPLATES not in offered


def test_which_options_take_several_things_and_which_are_only_said_or_not() -> None:
    options = [option for option in vars(fields).values() if isinstance(option, PaperOption)]
    several = {option.name for option in options if option.many}
    defaults = PaperOptions()
    # What holds several things by default is what several can be named for, or takes them with commas between
    # them, as days; the same for what is said or not said.
    listed = {option.name for option in options if isinstance(getattr(defaults, option.name), tuple)}
    assert listed - several == {"holidays", "used"}
    assert several <= listed
    assert all(option.many for option in options if option.name in several)
    flags = {option.name for option in options if option.is_flag}
    assert flags == {option.name for option in options if isinstance(getattr(defaults, option.name), bool)}


@pytest.mark.parametrize(("named", "size"), [("Letter", "letter"), ("a4", "a4"), ("foolscap", "a4"), ("", "a4")])
def test_the_usual_size_of_paper_can_be_named(monkeypatch: pytest.MonkeyPatch, named: str, size: str) -> None:
    monkeypatch.setenv("INTAKE_PAPER", named)
    assert PaperOptions().size == size
