"""The command itself, as a process: it says its link, serves, and stops when asked though a page still listens."""

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

from tests.desk.conftest import until

pytestmark = pytest.mark.skipif(os.name != "posix", reason="a signal is sent as POSIX has it")


@pytest.mark.slow
@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM])
def test_it_stops_with_an_open_stream(tmp_path: Path, sign: signal.Signals) -> None:
    command = [sys.executable, "-m", "intake.cli.main", "--library", str(tmp_path / "library"), "serve", "--port", "0",
               "--no-open", "--new", "--keys", str(tmp_path / "keys")]  # fmt: skip
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        assert process.stdout is not None
        lines = iter(process.stdout.readline, "")
        link = next(filter(None, (re.search(r"http://\S+", line) for line in lines)))
        with httpx.Client(base_url=link[0].partition("/enter")[0], timeout=20) as client:
            until(lambda: client.get(link[0].partition(str(client.base_url).rstrip("/"))[2]).status_code == 303)
            with client.stream("GET", "/events") as stream:
                next(stream.iter_lines())
                asked = time.monotonic()
                process.send_signal(sign)
                assert process.wait(10) == 0
        # The server would wait two seconds for a stream that does not end; it is ended, so it need not.
        assert time.monotonic() - asked < 10
        told = process.stdout.read()
        assert "is closed" in told
        assert (another := re.search(r"http://\S+", told))
        assert another[0] != link[0], "a link works once; the next one is printed then"
