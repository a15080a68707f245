"""The rest of the job at the desk by plain forms, as a browser without scripts sends them: looked at, then taken."""

import html
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import httpx
import pytest

from intake.desk.steps.step_registry import STEPS
from intake.edges import clock, network
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.ledger_entries import count_records
from intake.flow.moving.guess_parcel import NONE_LIKELY
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat
from intake.flow.papers.registry import PACKING_LIST
from intake.flow.papers.render import render
from intake.model.boxes import Box, BoxState, CartonState
from intake.model.editions import Copy, CopyState, Edition
from intake.model.valuations import Rate, Valuation
from tests.desk.conftest import PHOTOGRAPHS, Running, Station, let_in, running, until
from tests.desk.test_approvals import pair
from tests.made_library import new_library

FILES = {"file": ("books.csv", b"title,ISBN,key,mass_g,Shelf height\nThe Sleet Almanac,,S1,4200,31\nFog,,F1,900,20\n")}
COMMAND = re.compile(r"\bintake (?!is\b)[a-z]+|--[a-z][a-z-]+")
"""What a person would have to type at a terminal."""

FileParts = dict[str, tuple[str, bytes]]


def words(page: str) -> str:
    """Return what a page says, in one line."""
    main = re.search(r"<main.*?</main>", page, re.DOTALL)
    assert main is not None
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main[0])).split())


def send(station: Station, name: str, files: FileParts | None = None, /, **values: str) -> httpx.Response:
    fields = {"form_token": station.token, **values}
    return station.client.post(f"/steps/{name}", data=fields, files=files, headers={"Origin": station.base})


def carried(page: str) -> dict[str, str]:
    """Return the fields of the form that takes the step as it was shown."""
    form = re.search(r'<form method="post"[^>]*>((?:(?!</form>).)*name="apply".*?)</form>', page, re.DOTALL)
    assert form is not None, words(page)
    found = re.findall(r'name="([^"]*)" value="([^"]*)"', form[1])
    return {html.unescape(name): html.unescape(value) for name, value in found if name != "form_token"}


def take(station: Station, name: str, files: FileParts | None = None, /, **values: str) -> str:
    """Look at a step, take it, and return what the page says then."""
    looked = send(station, name, files, **values)
    assert looked.status_code == 200, words(looked.text)
    done = send(station, name, **carried(looked.text))
    assert done.status_code == 200, words(done.text)
    assert not COMMAND.search(words(done.text)), words(done.text)
    return words(done.text)


def entries(library: Library) -> int:
    with library.reading() as records:
        return count_records(records).entries


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Running]:
    with new_library(tmp_path / "empty") as library, running(library, tmp_path / "keys") as desk:
        yield desk


def test_from_an_empty_library_to_a_claim_without_a_terminal(empty: Running) -> None:
    library, station = empty.library, let_in(empty)
    assert station.get("/").headers["location"] == "/start"
    assert "Bring a list" in words(station.get("/start").text)
    take(station, "import", FILES, kind="editions", skip_bad_rows="yes")
    for room, tare in (("Study", "900 g"), ("Study", "900 g")):
        take(station, "open", room=room, tare=tare)
    with library.reading() as records:
        first, second = (box.number for box in records.all(Box))
    take(station, "pack", box=first, what="S1")
    take(station, "pack", box=second, what="F1")
    take(station, "close", boxes=first, gross="5.2 kg", seal="KX-1")
    take(station, "close", boxes=second, gross="2 kg")
    take(station, "consign", reference="KX/7", boxes=f"{first} {second}", carrier="Skua Lines", consignee="O. Oulde")
    for box in (first, second):
        take(station, "measure", box=box, size="43x34x32 cm")
    # 43 x 34 x 32 cm are 46,784 cubic centimetres, two of them 0.094 cubic metres.
    assert "gross mass 7.20 kg, volume 0.094 m³" in words(station.get("/steps/freight?reference=KX/7").text)
    picture = {"pictures": ("corner.jpg", next(PHOTOGRAPHS.rglob("*.jpg")).read_bytes())}
    said = take(station, "arrive", picture, boxes=first, carton="crushed", seal="broken", delivered="2026-01-12")
    assert "delivery note before you sign" in said
    assert f"Box {first}: carton crushed; seal KX-1: broken." in said
    arrival = words(station.get(f"/boxes/{first}").text)
    assert "Seal KX-1 broken on arrival" in arrival, arrival
    assert "Carton crushed on arrival Delivered 2026-01-12" in arrival
    assert station.get(f"/boxes/{first}").text.count("/pictures/small/") == 1
    take(station, "arrive", boxes=second, carton="sound", delivered="2026-01-12")
    take(station, "bookcase", shelves="two shelves of 800 x 300 x 250 mm", room="Study", bookcase="North")
    with library.reading() as records:
        almanac, fog = (copy for copy, _ in all_copies(records))
        arrived = records.get(Box, first)
    assert arrived is not None
    assert (arrived.state, arrived.carton) == (BoxState.ARRIVED, CartonState.CRUSHED)
    assert station.post("/api/scan", box=second, text=fog.accession, request="s1").status_code == 200
    assert (
        station.post("/api/facts", copy=fog.accession, grade="Fine", version=str(entries(library))).status_code == 200
    )
    take(station, "room", copy=fog.accession)
    take(station, "finish", box=second)
    assert "1 copy of its list is missing" in take(station, "finish", box=first, reason="An empty gap; tape cut")
    take(station, "value", copy=almanac.accession, amount="400.00", currency="EUR", basis="replacement")
    with library.reading() as records:
        states = {copy.accession: copy.state for copy, _ in all_copies(records)}
    assert states == {almanac.accession: CopyState.MISSING, fog.accession: CopyState.SHELVED}
    missing = words(station.get("/steps/reconcile?reference=KX/7").text)
    assert "An empty gap; tape cut" in missing
    assert "carton crushed" in missing
    claim = station.get(
        "/steps/claim?reference=KX/7&goods=freight&regime=cmr&currency=EUR&rate=1.20&rate_on=2026-01-10&rate_source=x"
        "&path=what+no+field+is"
    )
    # CMR 23(3): 8.33 SDR for each kilogram of gross weight short; all 5.2 kg of the box are: 43.316 SDR, 51.98 EUR.
    assert "51.98" in words(claim.text), words(claim.text)
    assert "no legal advice" in words(claim.text)
    assert not COMMAND.search(words(claim.text))


def test_nothing_changes_until_it_was_looked_at_and_then_it_can_be_taken_back(
    station: Station, library: Library
) -> None:
    before = entries(library)
    looked = send(station, "rate", base="EUR", currency="SEK", rate="11.25")
    assert "Nothing has changed yet" in words(looked.text)
    assert entries(library) == before
    assert send(station, "rate", base="EUR", currency="SEK", rate="11.25", apply="yes").status_code == 409, "not shown"
    done = send(station, "rate", **carried(looked.text))
    twice = send(station, "rate", **carried(looked.text))
    assert (done.status_code, twice.status_code) == (200, 409), "pressed twice, taken once"
    with library.reading() as records:
        assert [rate.per_base for rate in records.all(Rate) if rate.currency == "SEK"] == [Decimal("11.25")]
    (entry,) = re.findall(r'name="entry" value="(\d+)"', done.text)
    assert station.post("/undo", entry=entry, back="/steps/rate").status_code == 303
    with library.reading() as records:
        assert not [rate for rate in records.all(Rate) if rate.currency == "SEK"]


def test_what_another_changed_meanwhile_is_shown_again_and_not_done(station: Station, library: Library) -> None:
    looked = send(station, "weigh", box="4", gross="26.4 kg", scale="50 g")
    with library.reading() as records:
        box = next(box for box in records.all(Box) if box.number.startswith("B4-"))
    take(station, "weigh", box="4", gross="26.2 kg", scale="50 g")
    again = send(station, "weigh", **carried(looked.text))
    assert again.status_code == 409
    assert "Changed meanwhile" in words(again.text)
    with library.reading() as records:
        weighed = records.get(Box, box.number)
    assert weighed is not None
    assert weighed.gross_g == 26_200


def test_a_refused_step_keeps_what_was_typed_and_the_way_on(station: Station) -> None:
    answer = send(
        station, "value", copy="1", amount="12,500", currency="EUR", basis="market", note="an Inuktitut ᐃ note"
    )
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert 'value="12,500"' in answer.text
    assert "an Inuktitut ᐃ note" in html.unescape(answer.text)
    assert 'aria-label="Pages"' in answer.text


WRONG: tuple[tuple[str, dict[str, str], list[str]], ...] = (
    ("weigh", {"box": "99", "gross": "17 kg"}, ["box"]),
    ("weigh", {"box": "4", "gross": "17", "scale": "a bit"}, ["gross", "scale"]),
    ("weigh", {"box": "4", "gross": "1 g"}, ["gross"]),
    ("weigh", {}, ["box", "gross"]),
    ("close", {"boxes": "4 99"}, ["boxes"]),
    ("pack", {"box": "4", "what": "A1-59"}, ["box"]),
    (
        "value",
        {"copy": "A9-99", "amount": "1,000", "currency": "euro", "on": "soon"},
        ["amount", "currency", "basis", "on"],
    ),
    ("move-copies", {"copies": "A9-98", "hand": "yes"}, ["copies"]),
    ("rate", {"base": "EUR", "currency": "EUR", "rate": "1"}, ["currency"]),
    ("bookcase", {"shelves": "a few", "room": "Study", "bookcase": "North", "lowest": "low"}, ["lowest"]),
    ("claim", {"reference": "SKV-26-00417", "regime": "cmr", "currency": "EUR", "insured": "-1"}, ["insured"]),
    ("claim", {"reference": "nowhere", "regime": "cmr", "currency": "EUR"}, ["reference"]),
    ("freight", {"reference": "SKV-26-00417", "divisor": "x", "round_to": "y"}, ["divisor", "round_to"]),
    ("import", {}, ["kind", "file"]),
)


@pytest.mark.parametrize(("name", "values", "fields"), WRONG, ids=[f"{name}-{'-'.join(at)}" for name, _, at in WRONG])
def test_a_refused_step_says_at_each_field_what_is_wrong_with_it(
    station: Station, library: Library, name: str, values: dict[str, str], fields: list[str]
) -> None:
    """WCAG 2.2, 3.3.1: the item that is in error is identified, and the error is described to the user in text."""
    before = entries(library)
    answer = send(station, name, **values)
    assert answer.status_code >= 400
    assert entries(library) == before
    marked = re.findall(
        r'<[^>]*\bname="([^"]+)"[^>]*aria-describedby="([^"]+)"[^>]*aria-invalid="true"[^>]*>', answer.text
    )
    assert [field for field, _ in marked] == fields, words(answer.text)
    for field, described in marked:
        reason = re.search(rf'id="{described.split()[0]}"[^>]*>(.*?)</div>', answer.text, re.DOTALL)
        assert reason is not None, field
        assert words(f"<main>{reason[1]}</main>").startswith("■")
    assert len(re.findall(r"\bautofocus\b", answer.text)) == 1
    assert re.search(rf'name="{fields[0]}"[^>]*\bautofocus\b', answer.text), "the first wrong field has the focus"
    assert answer.text.count('role="alert"') == 1
    told = re.findall(r'href="#f-([^"]+)"', answer.text)
    assert told == (fields if len(fields) > 1 else []), "several are listed once above the form"
    assert "<title>Not done" in answer.text


def test_a_list_is_asked_about_on_the_page_and_never_guessed_in_silence(empty: Running) -> None:
    station = let_in(empty)
    table = {"file": ("books.csv", b"title;ISBN;Breite;foo\nThe Sleet Almanac;;24,5;x\n")}
    looked = send(station, "import", table, kind="editions")
    kept = re.search(r'name="upload-file" value="([^"]+)"', looked.text)
    assert kept is not None, words(looked.text)
    assert 'name="unit-width_mm"' in looked.text or "Breite" in words(looked.text)
    answers = {"kind": "editions", "upload-file": kept[1], "unit-width_mm": "cm"}
    shown = send(station, "import", **answers)
    said = words(shown.text)
    assert "foo: NOT USED" in said
    assert re.search(r"Not understood: “foo”.* bring the same file as copies afterwards", said), said
    assert shown.text.index(">Import it<") < shown.text.index(">Go on with this file as copies<"), "what is done first"
    assert not COMMAND.search(said), said
    as_subject = send(station, "import", **answers, **{"column-D": "subject"})
    assert "foo → subject" in words(as_subject.text)
    send(station, "import", **carried(as_subject.text))
    with empty.library.reading() as records:
        assert "The Sleet Almanac" in station.get("/catalog?q=sleet").text
        assert count_records(records).editions == 1


def test_what_was_said_of_columns_is_dropped_and_told_where_the_list_is_of_another_kind(empty: Running) -> None:
    station = let_in(empty)
    table = {"file": ("books.csv", b"key;title;Zustand;printing\nK1;The Sleet Almanac;sehr gut;2nd\n")}
    first = shown_form(send(station, "import", table, kind="copies").text)
    as_copies = send(station, "import", **{**first, "column-C": "grade"})
    assert "Zustand → grade" in words(as_copies.text)
    as_catalog = send(station, "import", **{**shown_form(as_copies.text), "column-C": "grade", "kind": "editions"})
    said = words(as_catalog.text)
    assert "What was said of column C (“grade: its condition in a word of the trade”) is dropped" in said
    assert "is not known" not in said
    send(station, "import", **carried(as_catalog.text))
    again = send(station, "import", table, kind="copies").text
    assert "printing 2 of 'The Sleet Almanac' is not recorded" in words(again)
    assert "/steps/import?kind=printings" in again


def shown_form(page: str) -> dict[str, str]:
    """Return what a browser sends of the form below, with every choice as the page shows it."""
    form = page[page.rindex('<form method="post" action="/steps/') :]
    fields = dict(re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', form))
    fields |= dict(re.findall(r'<input id="f-[^"]*" name="([^"]*)" value="([^"]*)"', form))
    for name, options in re.findall(r'<select id="[^"]*" name="([^"]*)".*?>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options)
        fields[name] = chosen[1] if chosen else ""
    return {html.unescape(name): html.unescape(value) for name, value in fields.items() if name != "form_token"}


def test_what_was_said_of_a_list_stays_said_however_often_it_is_looked_at(empty: Running) -> None:
    station = let_in(empty)
    table = {"file": ("knjige.csv", b"Polje 1;Polje 2;Polje 3\nThe Sleet Almanac;12,50;A7-05\n")}
    first = send(station, "import", table, kind="editions")
    assert first.status_code >= 400
    named = {**shown_form(first.text), "column-A": "title", "column-B": "price"}
    assert {"column-A", "column-B", "column-C"} <= named.keys(), "a list without a title offers its columns"
    page = send(station, "import", **named)
    for further in ({"unit-price": "EUR", "skip_bad_rows": "yes"}, {"column-C": "subject"}, {}):
        shown = shown_form(page.text)
        assert (shown["column-A"], shown["column-B"]) == ("title", "price")
        page = send(station, "import", **{**shown, **further})
        assert page.status_code == 200, words(page.text)
    assert (shown_form(page.text)["unit-price"], shown_form(page.text)["column-C"]) == ("EUR", "subject")
    # What leads nowhere is refused on a page that still has every choice, so that it can be taken back.
    for wrong in ({"column-A": "not:title"}, {"column-C": "title"}, {"column-B": ""}, {"leave_out": "x"}):
        said = {**shown_form(page.text), **wrong}
        refused = send(station, "import", **said)
        assert refused.status_code >= 400, wrong
        kept = {name: text for name, text in said.items() if text and name != "request"}
        assert shown_form(refused.text).items() >= kept.items()
    send(station, "import", **carried(page.text))
    with empty.library.reading() as records:
        assert [edition.subject for edition in records.all(Edition)] == ["A7-05"]


@pytest.mark.skipif(network.house_address() is None, reason="this machine is in no network")
def test_a_phone_asks_the_laptop_before_it_sees_or_records_values(library: Library, tmp_path: Path) -> None:
    with running(library, tmp_path / "keys", lan=True) as desk:
        laptop, phone = let_in(desk), pair(desk, "phone")
        with library.reading() as records:
            copy = next(iter(records.all(Copy))).accession
            before = len(records.all(Valuation))
        looked = send(phone, "value", copy=copy, amount="90.00", currency="EUR", basis="market")
        asked = send(phone, "value", **carried(looked.text))
        assert asked.headers["location"].startswith("/asked/")
        for question in ("total?currency=EUR", "reconcile", "sets"):
            assert phone.get(f"/steps/{question}").headers["location"].startswith("/asked/"), question
        with library.reading() as records:
            assert len(records.all(Valuation)) == before
        number = asked.headers["location"].rpartition("/")[2]
        assert laptop.post(f"/asked/{number}/word", word="yes").status_code == 303
        with library.reading() as records:
            assert len(records.all(Valuation)) == before + 1
        assert "is worth EUR 90.00" in words(phone.get(f"/asked/{number}/answer").text)


def test_every_step_has_a_page_that_names_no_command(station: Station) -> None:
    for step in STEPS:
        page = station.get(f"/steps/{step.name}")
        assert page.status_code == 200, step.name
        assert not COMMAND.search(words(page.text)), step.name


REFUSED = (
    ("close", {"boxes": "1"}),
    ("pack", {"box": "1", "what": "SEA-1"}),
    ("move-copies", {"copies": "1", "hand": "yes"}),
    ("arrive", {"boxes": "4", "delivered": "2020-01-01"}),
    ("weigh", {"box": "4", "gross": "1 g"}),
    ("import", {"kind": "copies"}),
    ("correct-copy", {"copy": "1", "field": "printing", "value": "77"}),
    ("arrive", {"boxes": "4", "carton": "folded"}),
    ("total", {"currency": "EUR", "basis": "whim"}),
    ("review", {"currency": "EUR", "years": "old"}),
    ("freight", {"reference": "SKV-26-00417", "divisor": "0"}),
    ("bookcase", {"shelves": "two shelves of 800 x 300 x 250 mm", "room": "A", "bookcase": "B", "lowest": "mm"}),
)


@pytest.mark.parametrize(("name", "values"), REFUSED, ids=[name for name, _ in REFUSED])
def test_a_refusal_at_the_desk_advises_no_command(station: Station, name: str, values: dict[str, str]) -> None:
    answer = send(station, name, **values)
    assert answer.status_code >= 400
    assert not COMMAND.search(words(answer.text)), words(answer.text)


def test_a_guess_says_what_it_does_not_show(station: Station) -> None:
    assert NONE_LIKELY in words(station.get("/steps/parcel?mass=1+g").text)
    assert "10 less likely ones are not shown" in words(station.get("/steps/parcel?mass=900+g").text)


def test_the_way_on_from_a_reference_keeps_all_its_letters(station: Station) -> None:
    looked = send(station, "consign", reference="A&B #7")
    done = send(station, "consign", **carried(looked.text))
    way = re.search(r'href="(/steps/freight[^"]*)"', done.text)
    assert way is not None, words(done.text)
    answer = station.get(html.unescape(way[1]))
    assert answer.status_code == 200
    assert 'value="A&amp;B #7"' in answer.text


def test_an_export_begins_with_a_byte_order_mark_where_that_is_ticked(station: Station) -> None:
    """The mark of UTF-8: The Unicode Standard, 2.6 and 23.8."""
    for ticked, begin in (("", b"title,"), ("&marked=yes", b"\xef\xbb\xbftitle,")):
        page = station.get(f"/steps/export?what=editions&ask=yes{ticked}").text
        (address,) = re.findall(r'href="(/kept/[^"]+)"', page)
        assert station.get(address).content.startswith(begin)


def test_a_table_of_titles_and_boxes_is_brought_as_both_with_the_file_chosen_once(empty: Running) -> None:
    station = let_in(empty)
    rows = b"Title,ISBN,Box,Price\nThe Gull Atlas,9780110002224,2,EUR 12.50\n"
    looked = send(station, "import", {"file": ("both.csv", rows)}, kind="copies")
    assert "“Title”" in words(looked.text)

    def on_with(page: str, kind: str) -> str:
        (address,) = re.findall(rf'href="(/steps/import\?kind={kind}&[^"]+)"', page)
        form = station.get(html.unescape(address))
        assert "Here already: both.csv" in form.text
        return send(station, "import", **carried(send(station, "import", **shown_form(form.text)).text)).text

    done = on_with(looked.text, "editions")
    assert "“Box”" in words(done)
    assert "Go on with this file" not in words(on_with(done, "copies"))
    with empty.library.reading() as records:
        found = count_records(records)
        assert (found.editions, [(copy.box or "")[:2] for copy in records.all(Copy)]) == (1, ["B2"])


def test_files_are_handed_over_to_their_own_session_only(desk: Running, station: Station) -> None:
    page = station.get("/steps/export?what=everything&ask=yes").text
    (address,) = re.findall(r'href="(/kept/[^"]+)"', page)
    mine, others = station.get(address), let_in(desk).get(address)
    assert mine.content.startswith(b"PK")
    assert others.status_code == 409


def test_a_whole_paper_made_part_by_part_is_the_one_made_at_once(
    station: Station, library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1774949400")
    page = station.get("/papers?paper=packing-list").text
    assert re.search(r'src="/papers/packing-list\.pdf\?[^"]*boxes=B1-', page), "one box at a time"
    started = station.post("/papers/packing-list/whole")
    where = started.headers["location"]
    until(lambda: "/kept/" in station.get(where).text, 60)
    (address,) = re.findall(r'href="(/kept/[^"]+)"', station.get(where).text)
    at_once = render(library, PACKING_LIST, PaperOptions(), PaperFormat.PDF, on=clock.today())
    assert station.get(address).content == at_once.data


def test_a_loss_is_not_signed_as_done(station: Station, library: Library) -> None:
    waits = re.search(r'name="not_seen" value="(\d+)"', station.get("/boxes/1").text)
    assert waits is not None
    done = station.post("/boxes/1/finish", not_seen=waits[1], reason="Never packed")
    page = station.get(done.headers["location"]).text
    message = re.search(r'<p class="sheet (\w+) message"[^>]*><span class="mark">(.)</span>', page)
    assert message is not None
    assert message.groups() == ("stop", "■")
    scanned = station.post("/api/scan", box="2", text=_listed_in(library, "B2-"), request="x1").json()
    assert "not yet seen" not in scanned["answers"][0]["html"]


def _listed_in(library: Library, box: str) -> str:
    with library.reading() as records:
        return next(copy.accession for copy, _ in all_copies(records) if (copy.box or "").startswith(box))
