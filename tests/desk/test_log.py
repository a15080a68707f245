"""What the desk writes into its log: how it works, and nothing that lets somebody in or says what books are worth."""

import logging
import re
from pathlib import Path

import httpx
import pytest

from intake.desk import ledger_pages
from intake.desk.run import SEE_LOG, see_log
from intake.edges.log_files import DESK_LOG, KEPT_FILES, MOST_BYTES, desk_log
from tests.desk.conftest import Running, let_in, until
from tests.made_library import new_library


@pytest.fixture
def log(desk: Running) -> Path:
    """Drive a desk through its pages, with a session, a wrong key and a form, and return its log."""
    with desk_log(desk.library.folder) as path, httpx.Client(base_url=desk.base, timeout=20) as client:
        assert client.get("/enter", params={"key": "wrong-key-of-a-stranger"}).status_code != 200
        assert client.get(desk.link.removeprefix(desk.base)).status_code == 303
        for page in ("/boxes", "/catalog?search=tidal", "/papers", "/ledger", "/nowhere"):
            client.get(page)
        cookies = dict(client.cookies)
    assert path is not None
    text = path.read_text(encoding="utf-8")
    for secret in (desk.link.partition("key=")[2], "wrong-key-of-a-stranger", *cookies.values()):
        assert secret
        assert secret not in text
    return path


def test_requests_are_logged_with_status_and_time(log: Path) -> None:
    lines = log.read_text(encoding="utf-8").splitlines()
    assert any(re.search(r"intake\.desk\.guard: GET /boxes 200 in \d+ ms$", line) for line in lines)
    assert any(" GET /nowhere 404 " in line for line in lines)
    assert not any("search=" in line or "tidal" in line for line in lines)


def test_a_line_break_in_an_address_makes_no_line(desk: Running) -> None:
    """OWASP ASVS 4.0.3, 7.3.1."""
    with desk_log(desk.library.folder) as path:
        httpx.get(f"{desk.base}/nowhere%0A2026-01-01%20forged%0D%1b%5b31m")
    assert path is not None
    (line,) = [line for line in path.read_text(encoding="utf-8").splitlines() if "nowhere" in line]
    assert "/nowhere%0A2026-01-01%20forged%0D%1b%5b31m 401 " in line


def test_an_error_that_nobody_caught_is_found_in_the_log(desk: Running, monkeypatch: pytest.MonkeyPatch) -> None:
    """OWASP ASVS 4.0.3, 7.4.1 and 7.4.3: a sentence with a mark, nothing of the error itself."""

    def fail(_records: object) -> None:
        raise ValueError("inside of the desk")

    monkeypatch.setattr(ledger_pages, "library_status", fail)
    station = let_in(desk)
    with desk_log(desk.library.folder) as path:
        answer = station.get("/ledger")
    assert path is not None
    assert answer.status_code == 500
    assert "inside of the desk" not in answer.text
    mark = re.search(r"\((\w{6}) in its log\)", answer.text)
    assert mark
    assert f"unexpected error {mark[1]} at /ledger" in path.read_text(encoding="utf-8")
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["cache-control"] == "no-store"


def test_what_the_log_has_is_one_line_on_the_terminal(
    desk: Running, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(_records: object) -> None:
        raise ValueError("inside of the desk")

    monkeypatch.setattr(ledger_pages, "library_status", fail)
    errors = logging.getLogger("uvicorn.error")
    errors.addFilter(see_log)
    errors.addHandler(caplog.handler)
    try:
        assert let_in(desk).get("/ledger").status_code == 500
        until(lambda: SEE_LOG in caplog.messages)
    finally:
        errors.removeHandler(caplog.handler)
        errors.removeFilter(see_log)
    assert not [record for record in caplog.records if record.name == "uvicorn.error" and record.exc_info]


def test_who_was_let_in_and_who_was_not(desk: Running) -> None:
    """OWASP ASVS 4.0.3, 7.1.3."""
    authenticator = desk.opened.desk.authenticator
    with desk_log(desk.library.folder) as path:
        for code in ("22222222", authenticator.code()):
            httpx.post(f"{desk.base}/pair", data={"code": code, "name": "hall"}, headers={"Origin": desk.base})
    assert path is not None
    text = path.read_text(encoding="utf-8")
    assert "a pairing code from 127.0.0.1 was refused" in text
    assert "let in 'hall' from 127.0.0.1" in text


def test_old_lines_are_dropped(tmp_path: Path) -> None:
    with new_library(tmp_path / "library") as library, desk_log(library.folder) as path:
        for _ in range(5 * (KEPT_FILES + 2)):
            logging.getLogger("intake.test").info("x" * (MOST_BYTES // 5))
    assert path is not None
    assert len(list(path.parent.iterdir())) == KEPT_FILES + 1
    assert sum(file.stat().st_size for file in path.parent.iterdir()) <= (KEPT_FILES + 1) * (MOST_BYTES + 1000)


def test_a_folder_that_cannot_be_written_stops_nothing(tmp_path: Path) -> None:
    (tmp_path / DESK_LOG.parent).write_text("a file where the folder would be")
    with desk_log(tmp_path) as path:
        assert path is None
