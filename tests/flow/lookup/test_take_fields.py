"""Fields of a record are taken by one plan: seen before, taken back after, nothing else touched."""

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.editions import edition_by_key, editions_by_number
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.edges.store.queries.names import set_of_title
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.action_words import action_words
from intake.flow.lookup.lookup_targets import LookupTarget, lookup_targets
from intake.flow.lookup.take_fields import (
    FIELDS,
    FieldOffer,
    choose_record,
    field_offers,
    fields_named,
    new_edition,
    plan_take,
    take,
)
from intake.flow.undo import undo
from intake.model.changes import ActionKind
from intake.model.editions import Edition
from intake.model.lookups import LookedUpRecord, RecordNumber, RecordValue

SERVER = "https://catalog.example/books"
FERNS, UNKNOWN = "9780306406157", "9780110002224"
EVERYTHING = frozenset(FIELDS)


def record(number: str = FERNS, qualifier: str = "", **fields: RecordValue) -> LookedUpRecord:
    return LookedUpRecord(id="x1", numbers=(RecordNumber(number, qualifier),), fields=fields)


FOUND = record(
    title="Ferns of the Outer Isles", contributors=("Ada Thorn",), publisher="Gull Press", year=1991, pages=357
)


def target(library: Library, name: str) -> LookupTarget:
    with library.reading() as records:
        (found,) = lookup_targets(records, [name])
    return found


def edition(library: Library, key: str) -> Edition:
    with library.reading() as records:
        found = edition_by_key(records, key)
    assert found is not None
    return found


def test_what_the_record_has_stands_beside_what_is_known(library: Library) -> None:
    offers = field_offers(target(library, FERNS), FOUND)
    assert offers == (
        FieldOffer("title", "Ferns of the Outer Isles", "Ferns of the Outer Isles"),
        FieldOffer("contributors", ("Ada Thorn",), ("Ada Thorn",)),
        FieldOffer("publisher", None, "Gull Press"),
        FieldOffer("year", 1990, 1991),
        FieldOffer("pages", None, 357),
    )
    assert [offer.name for offer in offers if offer.is_new] == ["publisher", "year", "pages"]


@pytest.mark.parametrize(
    ("qualifier", "binding"),
    [("hbk.", "hbk"), ("pbk. : v. 1", "pbk"), ("Paperback", "Paperback"), ("geb.", "geb"), ("v. 2", None), ("", None)],
)
def test_the_qualifier_of_the_number_tells_the_binding(qualifier: str, binding: str | None) -> None:
    (sought,) = lookup_targets(None, [FERNS])
    offers = {offer.name: offer.found for offer in field_offers(sought, record(FERNS, qualifier, title="Ferns"))}
    assert offers.get("binding") == binding
    other = record("9783161484100", qualifier, title="Ferns")
    assert [offer.name for offer in field_offers(sought, other)] == ["title"]


def test_a_plan_writes_nothing_and_a_take_writes_the_fields_named_and_no_others(library: Library) -> None:
    before = edition(library, "F1")
    sought = target(library, FERNS)
    with library.reading() as records:
        head = ledger_head(records)
    plan = plan_take(library, [(sought, SERVER, FOUND)], frozenset({"publisher", "pages"}))
    with library.reading() as records:
        assert ledger_head(records) == head
    entry = take(library, plan, station="test")
    assert entry is not None
    assert (entry.action.kind, entry.action.note) == (ActionKind.TAKE_FROM_SERVER, SERVER)
    assert "server" in action_words(entry.action)
    after = edition(library, "F1")
    assert (after.publisher, after.pages) == ("Gull Press", 357)
    assert (after.year, after.title, after.set_id, after.volume) == (1990, before.title, before.set_id, "1")
    undo(library, entry.seq, station="test")
    assert edition(library, "F1") == before
    with library.reading() as records:
        assert verify_chain(records) is None


def test_several_are_taken_together_and_taken_back_together(library: Library) -> None:
    chosen = [
        (target(library, FERNS), SERVER, FOUND),
        (target(library, UNKNOWN), SERVER, record(UNKNOWN, "pbk.", title="Tides", year=2001)),
    ]
    entry = take(library, plan_take(library, chosen, EVERYTHING), station="test")
    assert entry is not None
    with library.reading() as records:
        (made,) = editions_by_number(records, UNKNOWN)
    assert (made.title, made.year, made.binding) == ("Tides", 2001, "pbk")
    assert edition(library, "F1").year == 1991
    undo(library, entry.seq, station="test")
    with library.reading() as records:
        assert editions_by_number(records, UNKNOWN) == ()
    assert edition(library, "F1").year == 1990


def test_a_set_is_taken_as_an_import_takes_it(library: Library) -> None:
    """The recorded set of this title, or a new one for all that name it."""
    shared = {"set": "Ferns", "volume": "3"}
    chosen = [
        (target(library, FERNS), SERVER, record(set="Isles", volume="1")),
        (target(library, UNKNOWN), SERVER, record(UNKNOWN, title="Ferns of the Far Isles", **shared)),
        (target(library, "9783161484100"), SERVER, record("9783161484100", set="Isles")),
    ]
    old = edition(library, "F1").set_id
    plan = plan_take(library, chosen, frozenset({"set", "title", "volume"}))
    assert [offer.known for taken in plan.taken for offer in taken.offers if offer.name == "set"] == [
        "Ferns",
        None,
        "Ferns",
    ]
    take(library, plan, station="test")
    with library.reading() as records:
        (made,) = editions_by_number(records, UNKNOWN)
        isles = set_of_title(records, "Isles")
    assert isles is not None
    assert (made.set_id, made.volume) == (old, "3")
    assert edition(library, "F1").set_id == edition(library, "F2").set_id == isles.id


def test_what_is_all_known_writes_nothing(library: Library) -> None:
    plan = plan_take(library, [(target(library, FERNS), SERVER, record(title="Ferns of the Outer Isles"))], EVERYTHING)
    assert plan.changes == ()
    assert take(library, plan, station="test") is None


def test_a_new_edition_needs_a_title(library: Library) -> None:
    chosen = [(target(library, FERNS), SERVER, FOUND), (target(library, UNKNOWN), SERVER, record(UNKNOWN, year=2001))]
    with pytest.raises(RefusedError):
        plan_take(library, chosen, EVERYTHING)
    assert edition(library, "F1").publisher == ""


def test_a_number_that_several_editions_carry_takes_nothing(library: Library) -> None:
    with pytest.raises(RefusedError):
        plan_take(library, [(target(library, "0264-3596"), SERVER, record("0264-3596", title="Shore"))], EVERYTHING)


def test_an_edition_made_or_altered_meanwhile_is_not_overwritten(library: Library) -> None:
    unknown, known = target(library, UNKNOWN), target(library, FERNS)
    stale = plan_take(library, [(known, SERVER, FOUND)], frozenset({"year"}))
    tides = record(UNKNOWN, title="Tides")
    take(library, plan_take(library, [(unknown, SERVER, tides)], EVERYTHING), station="test")
    with pytest.raises(RefusedError):
        plan_take(library, [(unknown, SERVER, tides)], EVERYTHING)
    take(library, plan_take(library, [(known, SERVER, FOUND)], frozenset({"pages"})), station="test")
    with pytest.raises(RefusedError):
        take(library, stale, station="test")
    assert edition(library, "F1").year == 1990


def test_fields_are_named_singly_together_or_all() -> None:
    assert fields_named(["title,year", "pages"]) == {"title", "year", "pages"}
    assert fields_named(["all"]) == EVERYTHING
    assert fields_named([]) == frozenset()
    with pytest.raises(UsageError):
        fields_named(["shelfmark"])


def test_a_new_edition_of_what_a_person_ticked() -> None:
    (sought,) = lookup_targets(None, [FERNS])
    made = new_edition(
        sought.identifier,
        {"title": "Salt", "set": "Seas", "contributors": "Ada Thorn; Bo Lind", "year": "1987", "height_mm": "280,5"},
    )
    salt = Edition(id=0, title="Salt", contributors=("Ada Thorn", "Bo Lind"), year=1987, height_mm=280.5, number=FERNS)
    assert made == (salt, "Seas")


@pytest.mark.parametrize(
    "texts",
    [
        {},
        {"title": ""},
        {"title": "Salt", "year": "87"},
        {"title": "Salt", "year": "c1987"},
        {"title": "Salt", "pages": "0"},
        {"title": "Salt", "height_mm": "nan"},
        {"title": "Salt", "height_mm": "1e9"},
    ],
)
def test_a_new_edition_of_what_cannot_be_is_refused(texts: dict[str, str]) -> None:
    with pytest.raises(UsageError):
        new_edition(None, texts)


def test_of_several_records_one_is_taken_only_if_they_agree_or_it_is_named() -> None:
    (sought,) = lookup_targets(None, [FERNS])
    found = [(SERVER, record(title="Ferns", year=year, pages=80)) for year in (1990, 1991)]
    assert choose_record(sought, found, frozenset({"title", "pages"}))[2] == found[0][1]
    assert choose_record(sought, found, EVERYTHING, 2)[2] == found[1][1]
    for nth in (None, 3):
        with pytest.raises(RefusedError):
            choose_record(sought, found, EVERYTHING, nth)
