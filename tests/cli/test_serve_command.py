"""What the command says of the desk that it opens; the desk itself is not served here."""

from socket import socket

import pytest

from intake.desk import desk_startup, run
from tests.cli.conftest import Intake


@pytest.fixture(autouse=True)
def _not_served(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(_desk: object, listening: socket, _certificates: object, **_: object) -> None:
        listening.close()

    monkeypatch.setattr(run, "serve", stop)
    monkeypatch.setattr(desk_startup, "house_address", lambda: "127.0.0.1")


@pytest.mark.parametrize(
    ("options", "in_clear"), [(["--lan"], True), (["--lan", "--tls"], False), (["--tls"], False), ([], False)]
)
def test_what_travels_in_clear_is_said(intake: Intake, options: list[str], in_clear: bool) -> None:
    said = intake("serve", "--port", 0, "--no-open", "--keys", "keys", *options)
    assert said.status == 0
    assert ("Without --tls everything travels in clear" in said.out) == in_clear
    assert ("SHA-256" in said.out) == ("--tls" in options)
