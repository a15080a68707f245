"""The library's folder is renamed or unplugged under a running desk, and comes back."""

import os
import threading
from pathlib import Path

import httpx
import pytest

from intake.edges.store.library import Library
from tests.desk.conftest import Running, Station, until

pytestmark = pytest.mark.skipif(os.name != "posix", reason="an open file keeps its folder there")


def hear(station: Station, heard: list[str], ready: threading.Event) -> None:
    try:
        with station.client.stream("GET", "/events", timeout=30) as stream:
            lines = stream.iter_lines()
            for line in lines:
                ready.set()
                if line == "event: library":
                    heard.append(next(lines))
    except httpx.HTTPError:
        pass  # the desk was stopped


@pytest.mark.folder
def test_the_desk_says_that_the_folder_is_gone_makes_nothing_and_goes_on_when_it_is_back(
    desk: Running, station: Station, library: Library, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    heard: list[str] = []
    ready = threading.Event()
    listener = threading.Thread(target=hear, args=(station, heard, ready))
    listener.start()
    assert ready.wait(5)
    away = library.folder.rename(tmp_path / "away")
    for path in ("/", "/boxes", "/pile", "/unpack/1", "/catalog?q=flora"):
        page = station.get(path)
        assert page.status_code == 503
        assert "is not there any more" in page.text
        assert "plug in its disk" in page.text
        assert "connected" not in page.text
    scan = station.post("/api/scan", box="1", text="9789999812252", request="r1")
    assert scan.status_code == 503, "the browser keeps the scan and sends it again"
    assert "is not there any more" in scan.json()["sentence"]
    assert station.send("/api/picture?box=1&request=r2", b"x").status_code in (422, 503)
    until(lambda: len(heard) == 1)
    assert "is not there any more" in heard[0]
    assert not library.folder.exists(), "nothing was made in its place"
    away.rename(library.folder)
    until(lambda: len(heard) == 2)
    assert heard[1] == 'data: {"sentence": ""}'
    assert station.post("/api/scan", box="1", text="9789999812252", request="r1").status_code == 200
    assert station.get("/boxes").status_code == 200
    assert "Traceback" not in "".join(capfd.readouterr())
    desk.opened.desk.hub.close()
    listener.join(5)


@pytest.mark.folder
def test_another_database_in_its_place_is_told_and_left_alone(
    station: Station, library: Library, tmp_path: Path
) -> None:
    database = library.folder / "library.sqlite3"
    database.rename(tmp_path / "kept")
    database.write_bytes(b"another program's")
    for answer in (station.get("/boxes"), station.post("/api/scan", box="1", text="9789999812252", request="r1")):
        assert answer.status_code == 503
        assert "was deleted or replaced" in answer.text
    assert database.read_bytes() == b"another program's"
    database.unlink()
    (tmp_path / "kept").rename(database)
    assert station.get("/boxes").status_code == 200


def test_a_damaged_record_is_named_on_every_page_that_meets_it(station: Station, library: Library) -> None:
    with library.writing("test") as writer:
        writer.connection.exec_driver_sql("UPDATE copy SET grade = 'fine' WHERE accession = 'A1-59'")
    page = station.get("/copies/A1-59")
    assert page.status_code == 503
    assert "A1-59" in page.text
    assert "check the library" in page.text.casefold()
    assert 'href="/steps/check"' in page.text
    assert "is not as the ledger left it" in station.get("/steps/check?ask=yes").text
    assert "unexpected" not in page.text
