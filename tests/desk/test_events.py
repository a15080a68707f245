"""Everybody sees every change within a second, whoever makes it; an open stream does not keep the desk running."""

import json
import threading
import time
from pathlib import Path

import httpx
import pytest

from intake.edges.store.library import Library, open_library
from intake.flow.moving import box_lifecycle
from tests.desk.conftest import Running, Station, let_in, until


def listen(station: Station, heard: list[tuple[float, dict[str, object]]], ready: threading.Event) -> None:
    try:
        with station.client.stream("GET", "/events", timeout=30) as stream:
            assert stream.headers["content-type"].startswith("text/event-stream")
            for line in stream.iter_lines():
                ready.set()
                if line.startswith("data: ") and '"seq"' in line:  # not what is told of the door
                    heard.append((time.monotonic(), json.loads(line.removeprefix("data: "))))
    except httpx.HTTPError:
        pass  # the desk was stopped


@pytest.mark.slow
def test_changes_reach_every_page_whoever_makes_them(
    desk: Running, station: Station, library: Library, tmp_path: Path
) -> None:
    heard: list[tuple[float, dict[str, object]]] = []
    ready = threading.Event()
    listener = threading.Thread(target=listen, args=(station, heard, ready))
    listener.start()
    assert ready.wait(5)
    let_in(desk).post("/api/scan", box="1", text="9789999812252", request="r1")
    until(lambda: any(event["what"] == "unpack copy" for _, event in heard), 5)
    with open_library(library.place) as elsewhere:  # another process's view of the same folder
        box_lifecycle.finish(elsewhere, "3", station="command line")
    until(lambda: any(event["station"] == "command line" for _, event in heard), 5)
    numbers = [int(str(event["seq"])) for _, event in heard]
    assert numbers == sorted(numbers)
    until(lambda: desk.opened.desk.hub.open_streams == 1)
    desk.opened.desk.hub.close()
    listener.join(5)
    assert not listener.is_alive()
