"""Whatever a request holds, it is answered in words: never a failure of the desk, never a change half made."""

import io
import json
from collections.abc import Iterator
from dataclasses import replace
from html import escape
from pathlib import Path
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from intake.desk.app import ROUTES
from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.flow.moving.box_masses import box_lift
from intake.flow.moving.lift import caution_words, lift_words, short_mass_words
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change
from intake.model.places import Place, PlaceKind
from tests.desk.conftest import PHOTOGRAPHS, Running, Station, let_in, running_copy
from tests.drawn_examples import examples

words = st.one_of(
    st.text(max_size=40),
    st.sampled_from(["1", "B1-56", "A1-59", "S3-84", "9789999812252", "-1", "0", "9" * 400, "../../secret", "\x00",
                     "<script>alert(1)</script>", "' OR 1=1 --", "a.toml", "x.toml", "٣", "²", "\ud800", "nan"]),
)  # fmt: skip
values = st.one_of(
    words, st.integers(), st.booleans(), st.none(), st.floats(), st.lists(words, max_size=3),
    st.dictionaries(words, words, max_size=3),
)  # fmt: skip
NAMES = [
    "box", "text", "request", "copy", "query", "option", "entry", "back", "grade", "jacket", "has_jacket", "wrapped",
    "number_line", "binding", "part-boards", "note", "title", "number", "contributors", "publisher", "statement",
    "year", "volume", "edition", "same_as", "shelf", "code", "q", "paper", "template", "start", "size", "reference",
    "owner", "mode", "answered", "key", "message",
]  # fmt: skip
fields = st.dictionaries(st.sampled_from(NAMES), values, max_size=8)
parameters = st.dictionaries(st.sampled_from(NAMES), words, max_size=6)
relaxed = settings(
    max_examples=examples(12),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
MEDIA_TYPES = (
    "application/json", "application/x-www-form-urlencoded", "image/jpeg", "application/octet-stream", "text/plain", "",
)  # fmt: skip
# The door would close behind the station, or the answer would never end.
AVOIDED = ("/events", "/pairing/forget", "/sign-out", "/stations/{session}/end")


@pytest.fixture(scope="module")
def station(stocked: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Station]:
    with running_copy(stocked, tmp_path_factory.mktemp("requests")) as desk:
        station = let_in(desk)
        station.post("/api/scan", box="1", text="9790000000001", request="a query")
        yield station
        station.client.close()


@pytest.fixture
def fresh(desk: Running) -> Station:
    """A station at a desk of which no test has done anything yet."""
    return let_in(desk)


def said(text: str) -> str:
    return quote(text.encode("utf-8", "surrogatepass"), safe="")


def query(pairs: dict[str, str]) -> str:
    return "&".join(f"{said(name)}={said(value)}" for name, value in pairs.items())


@pytest.mark.parametrize(
    "route", [route for route in ROUTES if route.path not in AVOIDED], ids=lambda route: route.path
)
@relaxed
@given(data=st.data())
def test_no_request_makes_the_desk_fail(station: Station, route: object, data: st.DataObject) -> None:
    path: str = route.path  # type: ignore[attr-defined] # a route has one
    for name in ("box", "copy", "edition", "query", "shelf", "name", "size", "sha256", "paper", "number"):
        if f"{{{name}}}" in path:
            path = path.replace(f"{{{name}}}", said(data.draw(words.filter(bool), label=name)))
    address = f"{path}?{query(data.draw(parameters, label='query'))}"
    if "POST" in route.methods:  # type: ignore[attr-defined] # as above
        form = {**data.draw(fields, label="fields")}
        headers = {"X-Form-Token": station.token, "Origin": station.base, "Content-Type": "application/json"}
        answer = station.client.post(address, content=json.dumps(form), headers=headers)
    else:
        answer = station.get(address)
    assert answer.status_code < 500, answer.text
    assert "Traceback" not in answer.text
    if answer.headers.get("content-type", "").startswith("text/html"):
        assert "<script>alert(1)</script>" not in answer.text


@relaxed
@given(body=st.one_of(st.binary(max_size=300), st.text().map(str.encode)), media_type=st.sampled_from(MEDIA_TYPES))
def test_no_body_makes_the_desk_fail(station: Station, body: bytes, media_type: str) -> None:
    for path in ("/api/scan", "/api/picture?box=1&request=x", "/api/photograph?copy=A1-59", "/undo", "/pair"):
        assert station.send(path, body, media_type).status_code < 500


@pytest.mark.parametrize(
    ("path", "status"),
    [("/boxes/77", 409), ("/copies/x", 409), ("/editions/999999", 404), ("/editions/x", 404), ("/pile/99", 409),
     ("/pictures/large/" + "a" * 64, 404), ("/papers/nothing.pdf", 404), ("/papers/shelf-labels.pdf?template=x", 404),
     ("/papers/shelf-labels.pdf?template=../secret.toml", 404), ("/papers/shelf-labels.csv", 404),
     ("/papers/high-value.csv?limit=dear", 400), ("/papers/master-list.pdf", 400), ("/papers?paper=nothing", 400),
     ("/static/app.py", 404), ("/nowhere", 404)],
)  # fmt: skip
def test_what_is_not_there_is_said_not_to_be(station: Station, path: str, status: int) -> None:
    answer = station.get(path)
    assert answer.status_code == status
    assert "Not done." in answer.text


def test_a_wrong_number_says_what_would_be_right(station: Station) -> None:
    help = station.get("/api/typing?text=9789999812253").json()  # noqa: A001 - it is called so on the page
    assert not help["good"]
    assert help["message"]
    assert "9789999812252" in [each["number"].replace("-", "") for each in help["repairs"]]


def test_a_shelf_label_in_a_book_scan_is_understood(fresh: Station) -> None:
    answer = fresh.post("/api/scan", box="1", text="S3-84", request="shelf label").json()["answers"][0]
    assert "This is a label, not a book" in answer["html"]
    assert "Window bookcase" in answer["html"]
    assert fresh.get("/pile").text.count("Nothing waits") == 1


@pytest.mark.parametrize("title", ["Ἡ θάλασσα", "海岸の植物", "ציפורי החוף", '<b>Bold & "quoted"</b>', "a\u202eb"])
def test_any_script_and_any_sign_in_a_title(station: Station, title: str) -> None:
    page = station.get("/editions/1").text
    form = {"title": title, "form_token": station.token, "version": station.version("/editions/1")}
    answer = station.client.post("/editions/1", data=form, headers={"Origin": station.base})
    assert answer.status_code == 303
    page = station.get("/editions/1").text
    assert "<b>Bold" not in page
    assert escape(title).replace("&quot;", "&#34;") in page


def picture(width: int, height: int) -> bytes:
    out = io.BytesIO()
    Image.new("L", (width, height), 180).save(out, "JPEG")
    return out.getvalue()


def test_sixty_megapixels_are_a_sentence(station: Station) -> None:
    answer = station.send("/api/picture?box=1&request=large", picture(10_000, 6_000))
    assert answer.status_code == 422
    assert "60 megapixels" in answer.json()["sentence"]


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"%PDF-1.7"])
def test_what_is_no_picture_is_a_sentence(station: Station, data: bytes) -> None:
    answer = station.send("/api/picture?box=1&request=none", data)
    assert answer.status_code == 422
    assert answer.json()["sentence"].startswith("The picture ")
    assert "tmp" not in answer.text


def test_the_same_request_twice_changes_nothing(fresh: Station, library: Library) -> None:
    first = fresh.post("/api/scan", box="1", text="9789999812252", request="r1").json()
    with library.reading() as records:
        head = ledger_head(records)
    again = fresh.post("/api/scan", box="1", text="9789999812252", request="r1").json()
    data = (PHOTOGRAPHS / "box-1" / "02.jpg").read_bytes()
    assert first["answers"][0]["copy"] == again["answers"][0]["copy"]
    with library.reading() as records:
        assert ledger_head(records) == head
    pictured = [fresh.send("/api/picture?box=1&request=p1", data).json() for _ in range(2)]
    assert pictured[0]["answers"][0]["entry"] == pictured[1]["answers"][0]["entry"]


def test_a_full_disk_is_a_sentence_and_loses_nothing(
    fresh: Station, library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = (PHOTOGRAPHS / "box-1" / "02.jpg").read_bytes()
    with library.reading() as records:
        head = ledger_head(records)

    def full(_path: Path, _data: bytes) -> int:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(Path, "write_bytes", full)
        answer = fresh.send("/api/picture?box=1&request=p1", data)
    assert answer.status_code != 500
    assert "No space left" in answer.json()["sentence"]
    with library.reading() as records:
        assert ledger_head(records) == head
    assert fresh.send("/api/picture?box=1&request=p1", data).status_code == 200


def test_the_desk_says_of_a_box_that_nobody_weighed_what_its_label_says(fresh: Station, library: Library) -> None:
    with library.reading() as records:
        box = records.get(Box, "B1-56")
    assert box is not None
    library.apply(Action(ActionKind.WEIGH_BOX, box.number, "test"), (Change(box, replace(box, gross_g=None)),))
    with library.reading() as records:
        lift = box_lift(records, replace(box, gross_g=None))
    words, short = lift_words(lift), f"{short_mass_words(lift)} · {caution_words(lift)}"
    assert "estimated from its list, not weighed" in words
    assert "estimated · Heavy" in short
    for path, shown in (("/boxes", short), ("/boxes/1", words), ("/", words)):
        assert shown in fresh.get(path).text, path
    assert "NIOSH publication 94-110" in fresh.get("/boxes/1").text


def test_mould_and_blades_are_cautioned_where_the_hands_are(fresh: Station) -> None:
    assert "blade barely out" in fresh.get("/unpack/1").text
    seen = {"part-block": "mould", "version": fresh.version("/copies/1")}
    saved = fresh.post("/api/facts", copy="1", request="facts of a mouldy book", **seen).json()
    assert "closed bag" in saved["sentence"]


def test_a_book_too_high_for_its_shelf_is_said_to_be(fresh: Station, library: Library) -> None:
    taken = fresh.post("/api/scan", box="1", text="A1-59", request="out of the box").json()
    assert taken["answers"][0]["kind"] == "good"
    with library.reading() as records:
        shelf = next(place for place in records.all(Place) if place.kind is PlaceKind.SHELF)
    low = replace(shelf, height_mm=50.0)
    library.apply(Action(ActionKind.IMPORT_PLACES, shelf.number, "test"), (Change(shelf, low),))
    put = fresh.post("/api/shelve", copy="A1-59", shelf=shelf.number).json()
    assert "is 50 mm high, too low for A1-59" in put["sentence"]
