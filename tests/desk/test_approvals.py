"""What a phone may do on its own, and what waits for a yes at the laptop."""

import html
import re
import threading
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from httpx import Response

from intake.desk.app import ROUTES
from intake.desk.approvals import MOST_OF_A_STATION, YES_LASTS
from intake.desk.phone_limits import MOST_NAMED, VALUE_PAPERS
from intake.desk.steps.step_registry import find_step
from intake.edges import clock, network
from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_head
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.resolve import find_box
from intake.flow.lookup.wording import title_words
from intake.flow.moving import box_lifecycle
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.registry import PAPERS
from intake.flow.papers.render import render
from intake.flow.values.figures import Figure
from intake.flow.values.value_copies import value_copy
from intake.model.boxes import Box, BoxState
from intake.model.changes import ActionKind
from intake.model.editions import Copy, CopyState, Edition
from intake.model.valuations import Basis
from tests.desk.conftest import Running, Station, let_in, running, until
from tests.made_library import copy_library

pytestmark = pytest.mark.skipif(network.house_address() is None, reason="this machine is in no network")


@dataclass(frozen=True)
class Household:
    """A laptop and a phone at one desk."""

    desk: Running
    laptop: Station
    phone: Station

    def word(self, number: int, word: str) -> str:
        """Answer at the laptop; return what its page says then."""
        answer = self.laptop.post(f"/asked/{number}/word", word=word)
        assert answer.status_code in (303, 409), answer.text
        return self.laptop.get("/asked").text


def pair(desk: Running, name: str) -> Station:
    house = desk.opened.desk.endpoint.phone
    assert house is not None
    phone = Station(house)
    code = desk.opened.desk.authenticator.code()
    answer = phone.client.post("/pair", data={"code": code, "name": name}, headers={"Origin": house})
    assert answer.status_code == 303
    return phone.learn()


@pytest.fixture
def household(stocked: Path, tmp_path: Path) -> Iterator[Household]:
    with (
        copy_library(stocked, tmp_path / "library") as library,
        running(library, tmp_path / "keys", lan=True) as desk,
    ):
        yield Household(desk, let_in(desk), pair(desk, "hall"))


@pytest.fixture
def library(household: Household) -> Library:
    return household.desk.library


def ask_to_finish(station: Station, box: int = 3, **more: str) -> Response:
    """Send the form of the box's page."""
    found = re.search(r'name="not_seen" value="(\d+)"', station.get(f"/boxes/{box}").text)
    assert found
    return station.post(f"/boxes/{box}/finish", not_seen=found[1], **more)


def head(library: Library) -> str:
    with library.reading() as records:
        return ledger_head(records)


def last_entry(library: Library) -> tuple[int, ActionKind, str]:
    with library.reading() as records:
        (entry,) = latest_entries(records, 1)
    return entry.seq, entry.action.kind, entry.action.station


def asked(answer_location: str) -> int:
    found = re.fullmatch(r"/asked/(\d+)", answer_location)
    assert found
    return int(found[1])


def test_a_phone_scans_and_inspects_on_its_own(household: Household, library: Library) -> None:
    answer = household.phone.post("/api/scan", box="1", text="9789999812252", request="r1").json()["answers"][0]
    assert answer["kind"] == "good"
    form = {"copy": answer["copy"], "version": household.phone.version(f"/copies/{answer['copy']}")}
    assert household.phone.post("/api/facts", **form, grade="Fine", request="r2").status_code == 200
    assert last_entry(library)[1:] == (ActionKind.INSPECT_COPY, "hall")
    own, _, _ = last_entry(library)
    assert household.phone.post("/api/undo", entry=own).json()["kind"] == "good"
    assert last_entry(library)[1:] == (ActionKind.UNDO, "hall")


def test_a_box_is_finished_once_the_laptop_says_yes(household: Household, library: Library) -> None:
    before = head(library)
    answer = ask_to_finish(household.phone, reason="a gap")
    number = asked(answer.headers["location"])
    page = household.phone.get(answer.headers["location"]).text
    assert "Waits for a yes at the laptop" in page
    assert head(library) == before
    listed = household.laptop.get("/asked").text
    assert "finish box" in listed
    assert "hall" in listed
    with library.reading() as records:
        box = find_box(records, "3").number
        unseen = [copy.accession for copy in records.all(Copy) if (copy.box, copy.state) == (box, CopyState.PACKED)]
    assert unseen
    told = [copy for copy in unseen if f">{copy} " in listed]
    assert (len(told), f"and {len(unseen) - MOST_NAMED} more" in listed) == (MOST_NAMED, True)
    assert "Why, as typed: a gap" in listed
    household.word(number, "yes")
    assert last_entry(library)[1:] == (ActionKind.FINISH_BOX, "hall")
    assert "The laptop said yes" in household.phone.get(f"/asked/{number}").text
    assert "the laptop said yes" in household.phone.get("/station").text
    shown = household.phone.get(f"/asked/{number}/answer")
    assert shown.status_code == 303
    assert shown.headers["location"].startswith("/boxes/")
    assert household.word(number, "yes")
    assert last_entry(library)[1:] == (ActionKind.FINISH_BOX, "hall"), "it ran once"


def test_a_no_changes_nothing_and_the_phone_is_told(household: Household, library: Library) -> None:
    before = head(library)
    number = asked(ask_to_finish(household.phone).headers["location"])
    household.word(number, "no")
    assert head(library) == before
    assert "The laptop said no" in household.phone.get(f"/asked/{number}").text
    assert household.phone.get(f"/asked/{number}/answer").status_code == 404


def test_what_can_no_longer_be_done_says_why(household: Household, library: Library) -> None:
    number = asked(ask_to_finish(household.phone).headers["location"])
    assert ask_to_finish(household.laptop).status_code == 303
    before = head(library)
    told = household.laptop.get(household.laptop.post(f"/asked/{number}/word", word="yes").headers["location"]).text
    assert head(library) == before
    assert '<p class="sheet stop message"' in told
    assert "could not be done" in household.phone.get(f"/asked/{number}").text
    assert "the laptop said yes, but it could not be done" in household.phone.get("/station").text
    assert household.phone.get(f"/asked/{number}/answer").status_code == 409


def test_a_yes_to_what_has_changed_since_is_told_why_it_could_not_be_done(
    household: Household, library: Library
) -> None:
    number = asked(ask_to_finish(household.phone).headers["location"])
    with library.reading() as records:
        box = find_box(records, "3").number
        copy = next(copy for copy in records.all(Copy) if (copy.box, copy.state) == (box, CopyState.PACKED))
    assert household.laptop.post("/api/scan", box="3", text=copy.accession, request="r1").status_code == 200
    told = household.laptop.get(household.laptop.post(f"/asked/{number}/word", word="yes").headers["location"]).text
    assert "could not be done" in told
    assert "was changed since its page was opened" in told


def test_an_error_that_nobody_caught_is_told_to_both(household: Household, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_given: object, **_named: object) -> None:
        raise ValueError("inside of the desk")

    number = asked(ask_to_finish(household.phone).headers["location"])
    monkeypatch.setattr(box_lifecycle, "finish", fail)
    assert household.laptop.post(f"/asked/{number}/word", word="yes").status_code == 500
    assert "could not be done" in household.phone.get(f"/asked/{number}").text
    assert household.phone.get(f"/asked/{number}/answer").status_code == 500


def test_a_step_of_another_is_taken_back_with_the_laptops_word(household: Household, library: Library) -> None:
    household.laptop.post("/api/scan", box="1", text="9789999812252", request="r1")
    seq, _, station = last_entry(library)
    assert station == "desk"
    answer = household.phone.post("/api/undo", entry=seq)
    assert answer.status_code == 202
    assert answer.json()["kind"] == "question"
    assert last_entry(library)[0] == seq
    assert asked(household.phone.post("/undo", entry=seq, back="/ledger").headers["location"]) == 2
    assert household.phone.post("/api/undo", entry=seq).status_code == 202, "asked again, it waits once"
    assert len(household.desk.opened.desk.approvals.waiting()) == 2
    household.word(1, "yes")
    assert last_entry(library)[1:] == (ActionKind.UNDO, "hall")


def test_a_name_that_was_another_stations_makes_its_steps_nobodys_own(household: Household, library: Library) -> None:
    household.phone.post("/api/scan", box="1", text="9789999812252", request="r1")
    seq, _, _ = last_entry(library)
    sessions = household.desk.opened.desk.authenticator.sessions
    sessions.end([kept.id for kept in sessions.all() if not kept.host])
    again = pair(household.desk, "hall")
    assert again.post("/api/undo", entry=seq).status_code == 202


def test_a_copy_is_withdrawn_with_the_laptops_word(household: Household, library: Library) -> None:
    taken = household.phone.post("/api/scan", box="1", text="9789999812252", request="r1").json()["answers"][0]
    version = household.phone.version(f"/copies/{taken['copy']}")
    fields = {"reason": "sold", "amount": "120", "currency": "EUR", "version": version}
    number = asked(household.phone.post(f"/copies/{taken['copy']}/withdraw", **fields).headers["location"])
    assert "for 120 EUR" in household.laptop.get("/asked").text
    household.word(number, "yes")
    assert "The laptop said yes:" in household.phone.get(f"/asked/{number}").text
    with library.reading() as records:
        withdrawn = [copy.accession for copy in records.all(Copy) if copy.state is CopyState.WITHDRAWN]
    assert withdrawn == [taken["copy"]]


def test_editions_are_merged_and_withdrawn_with_the_laptops_word(household: Household, library: Library) -> None:
    with library.reading() as records:
        one, two = list(records.all(Edition))[:2]
    number = asked(household.phone.post(f"/editions/{one.id}/merge", into=f"#{two.id}").headers["location"])
    assert f"into that of &#39;{title_words(two)}&#39;" in household.laptop.get("/asked").text
    household.word(number, "no")
    sold = {"reason": "sold", "amount": "120", "currency": "EUR"}
    number = asked(household.phone.post(f"/editions/{one.id}/withdraw", **sold).headers["location"])
    assert "for 120 EUR each" in household.laptop.get("/asked").text
    household.word(number, "no")
    with library.reading() as records:
        assert not any(copy.state is CopyState.WITHDRAWN for copy in records.all(Copy))
        assert records.get(Edition, one.id) == one


def test_a_list_of_values_is_opened_with_the_laptops_word(household: Household) -> None:
    assert "<iframe" not in household.phone.get("/papers?paper=insurance").text
    answer = household.phone.get("/papers/insurance.csv")
    number = asked(answer.headers["location"])
    household.word(number, "yes")
    paper = household.phone.get(f"/asked/{number}/answer")
    assert paper.headers["content-type"] == "text/csv; charset=utf-8"
    assert household.laptop.get("/papers/insurance.csv").status_code == 200
    assert household.phone.get("/papers/packing-list.pdf").status_code == 200
    assert household.phone.get("/papers/collection.zip").status_code == 200
    assert asked(household.phone.get("/papers/collection.zip?show_values=yes").headers["location"])


def test_a_yes_that_waits_opens_the_page_that_is_asked_for_again_once(household: Household) -> None:
    address = "/steps/total?currency=EUR&ask=yes"
    number = asked(household.phone.get(address).headers["location"])
    assert asked(household.phone.get(address).headers["location"]) == number, "asked again, it waits once"
    household.word(number, "yes")
    assert asked(household.phone.get("/steps/sets?currency=EUR&ask=yes").headers["location"]) != number, (
        "another page has no yes"
    )
    assert household.phone.get(address).status_code == 200
    page = household.phone.get(f"/asked/{number}").text
    assert ("You were given it" in page, "as it was then" in page) == (True, True)
    again = asked(household.phone.get(address).headers["location"])
    assert again != number, "a yes opens it once"
    household.word(again, "yes")
    other = pair(household.desk, "study")
    assert other.get(address).status_code == 303, "it is the yes of one station"


def test_a_yes_to_a_page_ends_after_a_while(household: Household) -> None:
    number = asked(household.phone.get("/steps/total?currency=EUR&ask=yes").headers["location"])
    household.word(number, "yes")
    (kept,) = household.desk.opened.desk.approvals._all.values()
    assert kept.answered_at is not None
    kept.answered_at -= YES_LASTS + timedelta(seconds=1)
    assert asked(household.phone.get("/steps/total?currency=EUR&ask=yes").headers["location"]) != number


def test_what_was_done_with_a_yes_is_asked_for_anew(household: Household, library: Library) -> None:
    seq = last_entry(library)[0]
    household.phone.post("/undo", entry=seq, back="/ledger")
    household.word(1, "yes")
    assert last_entry(library)[1:] == (ActionKind.UNDO, "hall")
    assert asked(household.phone.post("/undo", entry=seq, back="/ledger").headers["location"]) == 2


def test_a_phone_is_told_of_every_answer_that_it_has_not_seen(household: Household) -> None:
    numbers = [
        asked(household.phone.get(f"/steps/{step}&ask=yes").headers["location"])
        for step in ("total?currency=EUR", "sets?currency=EUR")
    ]
    numbers.append(asked(ask_to_finish(household.phone).headers["location"]))
    assert "of the laptop</a>" not in household.phone.get("/boxes").text
    for number, word in zip(numbers, ("yes", "yes", "no"), strict=True):
        household.word(number, word)
    assert ">3</span>&nbsp;answers of the laptop" in household.phone.get("/boxes").text
    household.phone.get(f"/asked/{numbers[0]}")
    assert ">2</span>&nbsp;answers of the laptop" in household.phone.get("/boxes").text
    page = household.phone.get("/station").text
    assert page.count("<b>New:</b>") == 2
    assert "of the laptop</a>" not in household.phone.get("/boxes").text
    assert "<b>New:</b>" not in household.phone.get("/station").text


def test_a_phone_is_told_which_pages_ask_the_laptop(household: Household) -> None:
    page = household.phone.get("/station").text
    for step in ("value", "value-set", "reconcile", "total"):
        assert find_step(step).title in page
    assert find_step("room").title not in page


def test_the_papers_that_list_values_are_those_that_wait(library: Library) -> None:
    """The text of every paper of a library in which one copy has an amount that nothing else has."""
    with library.reading() as records:
        copy = next(copy for copy in records.all(Copy) if copy.box)
    figure = Figure(amount=Decimal("7654.32"), currency="EUR", on=clock.today(), basis=Basis.AGREED)
    value_copy(library, copy.accession, figure, today=clock.today(), station="test")
    shows = set()
    for paper in PAPERS:
        chosen: dict[str, Any] = {
            "copy": copy.accession,
            "regime": "hague-visby",
            "limit": Decimal(100),
            "relief": "eu",
        }
        names = {option.name for option in paper.options}
        options = replace(paper.defaults, **{name: value for name, value in chosen.items() if name in names})
        try:
            text = _text_of(library, paper, options)
        except (RefusedError, UsageError):
            continue  # it is of what this library does not have
        if "7654.32" in text.replace(",", ""):
            shows.add(paper.name)
    assert {"inventory", "insurance", "copy"} <= shows <= VALUE_PAPERS


def test_a_phone_is_shown_no_value_on_any_page_of_a_copy(household: Household, library: Library) -> None:
    with library.reading() as records:
        copy = next(copy for copy in records.all(Copy) if copy.box)
    figure = Figure(amount=Decimal("7654.32"), currency="EUR", on=clock.today(), basis=Basis.AGREED)
    value_copy(library, copy.accession, figure, today=clock.today(), station="test")
    page = f"/copies/{copy.accession}"
    assert "7,654.32" in household.laptop.get(page).text
    seen, waiting = set[str](), [page, "/", "/catalog", "/boxes", "/shelves", "/papers", "/ledger", "/serials"]
    while waiting:
        address = waiting.pop()
        seen.add(address)
        text = household.phone.get(address).text
        found = re.search(r"7,?654\.32", text)
        assert not found, (address, found)
        links = (html.unescape(link) for link in re.findall(r'href="(/[^"#]*)(?:#[^"]*)?"', text))
        waiting += {
            link for link in links if re.match(r"/(copies|editions|boxes|shelves|serials|ledger|papers\?)", link)
        }
        waiting = [link for link in waiting if link not in seen]
    assert page in seen
    assert any(address.startswith("/papers?paper=copy&copy=") for address in seen)


def _text_of(library: Library, paper: Paper[Any], options: PaperOptions) -> str:
    form = PaperFormat.CSV if PaperFormat.CSV in paper.formats else PaperFormat.PDF
    data = render(library, paper, options, form, on=clock.today()).data
    if form is PaperFormat.CSV:
        return data.decode("utf-8-sig")
    with closing(pypdfium2.PdfDocument(data)) as document:
        return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_only_the_laptop_answers_and_only_a_phones_own_requests_are_its(household: Household) -> None:
    """OWASP ASVS 4.0.3, 4.1.1 and 4.2.1."""
    number = asked(ask_to_finish(household.phone).headers["location"])
    other = pair(household.desk, "study")
    for station in (household.phone, other):
        assert station.post(f"/asked/{number}/word", word="yes").status_code == 403
        assert station.get("/asked").status_code == 403
        assert station.get("/pairing").status_code == 403
        assert station.post("/pairing/code").status_code == 403
        assert station.post("/stations/bcdfgh/end").status_code == 403
    assert other.get(f"/asked/{number}").status_code == 404
    assert other.get(f"/asked/{number}/answer").status_code == 404
    assert household.laptop.post(f"/asked/{number}/word", word="perhaps").status_code == 400


def test_these_addresses_and_no_others_are_the_laptops_alone(household: Household) -> None:
    """OWASP ASVS 4.0.3, 4.1.1: a phone asks for every address that changes something, and for every page."""
    filled = {"paper": "bookcases", "suffix": "pdf"}
    closed = set()
    for route in ROUTES:
        if route.path in ("/events", "/sign-out"):
            continue
        path = re.sub(r"\{(\w+)\}", lambda found: filled.get(found[1], "1"), route.path)
        asks = household.phone.post if "POST" in (route.methods or ()) else household.phone.get
        if asks(path).status_code == 403:
            closed.add(route.path)
    assert closed == {
        "/enter", "/pairing", "/pairing/code", "/pairing/forget", "/stations/{session}/end", "/asked",
        "/asked/{number}/word",
    }  # fmt: skip


def test_a_station_that_was_sent_away_no_longer_waits(household: Household, library: Library) -> None:
    number = asked(ask_to_finish(household.phone).headers["location"])
    before = head(library)
    assert household.laptop.post("/pairing/forget").status_code == 303
    assert household.laptop.post(f"/asked/{number}/word", word="yes").status_code == 409
    assert head(library) == before


def test_one_station_asks_for_a_few_things_at_a_time(household: Household) -> None:
    statuses = [ask_to_finish(household.phone, note=str(nth)).status_code for nth in range(10)]
    assert statuses == [303] * MOST_OF_A_STATION + [409] * (10 - MOST_OF_A_STATION)
    household.word(1, "no")
    assert ask_to_finish(household.phone, note="later").status_code == 303
    assert household.phone.get("/asked/1").status_code == 404, "what was answered gives way"


def test_the_laptop_needs_nobodys_word(household: Household, library: Library) -> None:
    household.phone.post("/api/scan", box="1", text="9789999812252", request="r1")
    seq, _, station = last_entry(library)
    assert station == "hall"
    assert household.laptop.post("/api/undo", entry=seq).json()["kind"] == "good"
    assert ask_to_finish(household.laptop).headers["location"].startswith("/boxes/")
    with library.reading() as records:
        assert sum(box.state is BoxState.UNPACKED for box in records.all(Box)) == 1


def test_the_laptop_lists_stations_and_wrong_codes(household: Household) -> None:
    house = household.phone.base
    stranger = Station(house)
    for _ in range(3):
        answer = stranger.client.post("/pair", data={"code": "22222222"}, headers={"Origin": house})
        assert answer.status_code == 409
    page = household.laptop.get("/pairing").text
    address = network.house_address()
    assert f"<b>{address}</b>: 3" in page
    assert '<b dir="auto">hall</b>' in page
    assert "everything travels in clear" in page
    assert "Not encrypted" in stranger.get("/pair").text
    assert "Not encrypted" in household.phone.get("/station").text
    assert pair(household.desk, "study").get("/boxes").status_code == 200, "the stranger voided no code"


def test_the_pages_that_it_concerns_are_told(household: Household) -> None:
    heard: list[str] = []
    hub = household.desk.opened.desk.hub

    def listen() -> None:
        with household.laptop.client.stream("GET", "/events", timeout=30) as stream:
            heard.extend(line for line in stream.iter_lines() if line.startswith("data: ") and "sentence" in line)

    listener = threading.Thread(target=listen)
    listener.start()
    until(lambda: hub.open_streams == 1)
    ask_to_finish(household.phone)
    household.phone.client.close()
    hub.close()
    listener.join(5)
    assert not listener.is_alive()
    assert len(heard) == 1
    assert "hall asks: finish box" in heard[0]
