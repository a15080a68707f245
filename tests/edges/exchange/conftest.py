"""A real SRU server, where Debian's package yaz is installed."""

import shutil
import socket
import subprocess
import time
from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session")
def ztest() -> Iterator[str]:
    """The address of a running yaz-ztest: it answers SRU with its own records, and judges no query."""
    program = shutil.which("yaz-ztest")
    if program is None:
        pytest.skip("there is no yaz-ztest (Debian's package yaz) to ask")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    running = subprocess.Popen([program, "-v", "none", f"tcp:127.0.0.1:{port}"])
    try:
        until = time.monotonic() + 10
        while True:
            try:
                socket.create_connection(("127.0.0.1", port), 1).close()
                break
            except OSError:
                assert time.monotonic() < until, "yaz-ztest does not answer"
                time.sleep(0.05)
        yield f"http://127.0.0.1:{port}/Default"
    finally:
        running.terminate()
        running.wait(10)
