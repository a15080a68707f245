"""The desk offers to look an unknown number up where a server is set, and takes field by field."""

from pathlib import Path
from urllib.parse import parse_qsl

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.editions import editions_by_number
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_head
from intake.edges.store.queries.names import set_of_title
from intake.edges.store.queries.sightings import list_queries
from intake.model.sightings import QueryState
from tests.desk.conftest import Running, Station
from tests.edges.exchange.stub_server import Reply, marc, response, serving

UNKNOWN = "9780110002224"
TIDES = marc(
    f"020 ## $a {UNKNOWN} (pbk.)",
    "100 1# $a Lind, Bo.",
    "245 10 $a Tides &lt;b&gt; and pans.",
    "260 ## $b Gull Press, $c c2001.",
    "300 ## $a 96 p. ; $c 21 cm",
    "520 ## $a Of salt.",
)


@pytest.fixture(autouse=True)
def _cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def queue(station: Station, text: str) -> int:
    """Scan something unknown; return the number of its query."""
    reply = station.post("/api/scan", box="1", text=text, request=f"r-{text}")
    assert reply.status_code == 200
    pile = station.get("/pile").text
    return int(pile.rpartition('href="/pile/')[2].partition('"')[0].partition("#")[0])


def set_servers(library: Library, *urls: str) -> None:
    lines = ", ".join(f'"{url}"' for url in urls)
    (library.folder / "settings.toml").write_text(f"[lookup]\nurls = [{lines}]\n", encoding="utf-8")


def head(library: Library) -> str:
    with library.reading() as records:
        return ledger_head(records)


def test_without_a_server_nothing_is_offered_and_nobody_is_asked(library: Library, station: Station) -> None:
    query = queue(station, UNKNOWN)
    assert f"/pile/{query}/lookup" not in station.get(f"/pile/{query}").text
    assert station.post(f"/pile/{query}/lookup").status_code == 409


def test_an_unknown_number_is_looked_up_and_taken_field_by_field(library: Library, station: Station) -> None:
    query = queue(station, UNKNOWN)
    with serving(lambda _: Reply(response(TIDES))) as stub:
        set_servers(library, stub.url)
        page = station.get(f"/pile/{query}").text
        assert f'action="/pile/{query}/lookup"' in page
        assert stub.asked == []
        before = head(library)
        shown = station.post(f"/pile/{query}/lookup")
        assert len(stub.asked) == 1
    assert shown.status_code == 200
    assert head(library) == before
    assert 'value="Tides &lt;b&gt; and pans"' in shown.text
    assert 'value="Lind, Bo"' in shown.text
    assert "520 Of salt." in shown.text
    taken = station.post(
        f"/pile/{query}/take",
        **{
            "take-title": "yes",
            "title": "Tides and Pans",
            "take-year": "yes",
            "year": "2001",
            "publisher": "Gull Press",
            "take-set": "yes",
            "set": "Pans",
            "server": stub.url,
        },
    )
    assert taken.status_code == 303
    with library.reading() as records:
        (edition,) = editions_by_number(records, UNKNOWN)
        assert query not in [waiting.id for waiting in list_queries(records, QueryState.WAITING)]
        set_of = set_of_title(records, "Pans")
        entry = latest_entries(records, 1)[0]
    assert (edition.title, edition.year, edition.publisher) == ("Tides and Pans", 2001, "")
    assert set_of is not None
    assert edition.set_id == set_of.id
    assert entry.action.note == stub.url
    message = dict(parse_qsl(taken.headers["location"].partition("?")[2]))["message"]
    assert f"Query {query}" in message


@pytest.mark.parametrize(
    ("fields", "status"),
    [
        ({}, 400),
        ({"title": "Tides"}, 400),
        ({"take-title": "yes", "title": "Tides", "take-year": "yes", "year": "20"}, 400),
    ],
)
def test_what_is_not_ticked_or_cannot_be_is_not_recorded(
    library: Library, station: Station, fields: dict[str, str], status: int
) -> None:
    query = queue(station, UNKNOWN)
    before = head(library)
    assert station.post(f"/pile/{query}/take", **fields).status_code == status
    assert head(library) == before


@pytest.mark.parametrize(
    "reply",
    [Reply("<html>Welcome</html>"), Reply("no", status=503), Reply(response())],
    ids=["html", "away", "nothing"],
)
def test_where_nothing_comes_the_number_goes_on_waiting(library: Library, station: Station, reply: Reply) -> None:
    query = queue(station, UNKNOWN)
    with serving(lambda _: reply) as stub:
        set_servers(library, stub.url)
        shown = station.post(f"/pile/{query}/lookup")
    assert shown.status_code == 200
    assert f"/pile/{query}/take" not in shown.text
    assert station.get(f"/pile/{query}").status_code == 200


def test_a_wrong_setting_is_said_on_the_query_and_stops_nothing(library: Library, station: Station) -> None:
    query = queue(station, UNKNOWN)
    (library.folder / "settings.toml").write_text("[lookup\n")
    shown = station.get(f"/pile/{query}")
    assert shown.status_code == 200
    assert "settings.toml" in shown.text


def test_what_the_catalog_has_is_not_looked_up(desk: Running, library: Library, station: Station) -> None:
    query = queue(station, "9780110002225")  # a wrong check digit: no number to ask for
    set_servers(library, "http://127.0.0.1:1/books")
    assert f"/pile/{query}/lookup" not in station.get(f"/pile/{query}").text
