"""What the desk speaks over TLS, asked by OpenSSL's own client, which is not what it is made with.

OWASP ASVS 4.0.3, 9.1.3: only the versions and ciphers that are recommended; 9.2.1: a certificate of one's own where
exactly that authority is trusted. OpenSSL's 'strong' is a cipher of at least 128 bits with forward secrecy.
"""

import re
import shutil
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from tests.desk.conftest import Running, running

OPENSSL = shutil.which("openssl")
pytestmark = pytest.mark.skipif(OPENSSL is None, reason="there is no openssl command to ask with")


@pytest.fixture
def keys(tmp_path: Path) -> Path:
    return tmp_path / "keys"


@pytest.fixture
def secured(library: Library, keys: Path) -> Iterator[Running]:
    with running(library, keys, tls=True) as desk:
        yield desk


def ask(desk: Running, *options: str) -> subprocess.CompletedProcess[str]:
    port = desk.opened.desk.endpoint.port
    command = [str(OPENSSL), "s_client", "-connect", f"127.0.0.1:{port}", "-brief", *options]
    return subprocess.run(command, input="", capture_output=True, text=True, timeout=20, check=False)


@pytest.mark.parametrize("version", ["tls1_2", "tls1_3"])
def test_the_versions_in_use_are_spoken(secured: Running, keys: Path, version: str) -> None:
    answer = ask(secured, f"-{version}", "-CAfile", str(keys / "authority.pem"), "-verify_return_error")
    assert answer.returncode == 0, answer.stderr
    assert re.search(rf"Protocol version: TLSv1\.{version[-1]}$", answer.stderr, re.MULTILINE)
    assert "Verification: OK" in answer.stderr


@pytest.mark.parametrize("version", ["tls1", "tls1_1"])
def test_older_versions_are_refused(secured: Running, version: str) -> None:
    """The client is told to offer what it would not by itself: it says hello, and it is the desk that ends it."""
    answer = ask(secured, f"-{version}", "-cipher", "ALL:@SECLEVEL=0")
    assert answer.returncode != 0
    assert "no protocols available" not in answer.stderr
    assert re.search("alert protocol version|unexpected eof", answer.stderr)


@pytest.mark.parametrize(
    "ciphers", ["aNULL", "eNULL", "RC4", "3DES", "EXPORT", "kRSA", "MD5", "SEED:IDEA:CAMELLIA:ARIA", "AES128-SHA"]
)
def test_weak_ciphers_are_refused(secured: Running, ciphers: str) -> None:
    answer = ask(secured, "-tls1_2", "-cipher", f"{ciphers}:@SECLEVEL=0")
    assert answer.returncode != 0


def test_the_authority_vouches_for_this_address_and_no_other(secured: Running, keys: Path) -> None:
    trusting = ("-CAfile", str(keys / "authority.pem"), "-verify_return_error")
    assert ask(secured, *trusting, "-verify_ip", "127.0.0.1").returncode == 0
    assert ask(secured, *trusting, "-verify_hostname", "localhost").returncode == 0
    assert ask(secured, *trusting, "-verify_hostname", "books.example").returncode != 0


def test_nobody_who_does_not_know_the_authority_trusts_it(secured: Running) -> None:
    assert ask(secured, "-verify_return_error").returncode != 0


def test_nothing_is_answered_in_clear(secured: Running) -> None:
    """OWASP ASVS 4.0.3, 9.1.1: TLS for every client, and nothing to fall back to."""
    with socket.create_connection(("127.0.0.1", secured.opened.desk.endpoint.port), timeout=10) as wire:
        wire.sendall(b"GET /pair HTTP/1.1\r\nHost: localhost\r\n\r\n")
        assert b"HTTP/1.1" not in wire.recv(1000)
