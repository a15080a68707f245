"""How long a session lasts, what is kept of it, and what a wrong date does to it: nothing."""

import hashlib
import json
from datetime import timedelta

import pytest

from intake.desk.sessions import OFF_COUNTS_S, SESSION_LASTS, Sessions
from intake.errors import FileError
from tests.desk.test_pairing import Clock

LASTS_S = SESSION_LASTS.total_seconds()


class Kept:
    """What the sessions were kept as, as a file would."""

    def __init__(self) -> None:
        self.data: bytes | None = None

    def write(self, data: bytes) -> None:
        self.data = data


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def kept() -> Kept:
    return Kept()


@pytest.fixture
def sessions(clock: Clock, kept: Kept) -> Sessions:
    return Sessions(clock.clock(), None, kept.write)


@pytest.mark.parametrize("jump", [timedelta(days=20_000), timedelta(days=-20_000)])
def test_a_jump_of_the_date_ends_no_session(sessions: Sessions, clock: Clock, jump: timedelta) -> None:
    session = sessions.let_in("hall")
    clock.at += jump
    assert sessions.find(session.token) == session
    clock.seconds += LASTS_S
    assert sessions.find(session.token) is None
    assert sessions.all() == ()


@pytest.mark.parametrize("jump", [timedelta(days=20_000), timedelta(days=-20_000)])
def test_a_date_that_jumped_while_the_desk_was_off_ends_none_either(
    sessions: Sessions, clock: Clock, kept: Kept, jump: timedelta
) -> None:
    session = sessions.let_in("hall")
    clock.at += jump
    clock.seconds = 5.0  # the machine was started again
    again = Sessions(clock.clock(), kept.data, kept.write)
    assert again.find(session.token) == session
    clock.seconds += LASTS_S - OFF_COUNTS_S - 1
    assert again.find(session.token) == session
    clock.seconds += OFF_COUNTS_S + 1
    assert again.find(session.token) is None


def test_the_time_it_lasted_counts_over_a_restart(sessions: Sessions, clock: Clock, kept: Kept) -> None:
    session = sessions.let_in("hall")
    clock.seconds += LASTS_S - 100
    clock.at += timedelta(seconds=LASTS_S - 100)
    sessions.save()
    clock.seconds, clock.at = 3.0, clock.at + timedelta(seconds=40)
    again = Sessions(clock.clock(), kept.data, kept.write)
    assert again.find(session.token)
    clock.seconds += 61
    assert again.find(session.token) is None


def test_what_is_kept_opens_nothing(sessions: Sessions, kept: Kept) -> None:
    """OWASP ASVS 4.0.3, 3.2.3 and 7.1.1: the token is the browser's alone; the digest is that of hashlib."""
    session = sessions.let_in("hall")
    assert kept.data is not None
    assert session.token.encode() not in kept.data
    assert session.form_token.encode() not in kept.data
    (only,) = json.loads(kept.data)["sessions"]
    assert only["digest"] == hashlib.sha256(session.token.encode()).hexdigest()
    assert sessions.find(only["digest"]) is None
    assert sessions.find(only["id"]) is None


def test_a_session_that_ended_stays_ended_over_a_restart(sessions: Sessions, clock: Clock, kept: Kept) -> None:
    gone, stays = sessions.let_in("hall"), sessions.let_in("study")
    sessions.end([gone.id])
    again = Sessions(clock.clock(), kept.data, kept.write)
    for each in (sessions, again):
        assert each.find(gone.token) is None
        assert each.find(stays.token) == stays


def test_nobody_is_let_in_whom_a_restart_would_forget(clock: Clock) -> None:
    def full(_data: bytes) -> None:
        raise FileError("sessions.json", "cannot be written (no space left)", "make room")

    sessions = Sessions(clock.clock(), None, full)
    with pytest.raises(FileError):
        sessions.let_in("hall")
    assert sessions.all() == ()


def test_last_use_is_listed_the_latest_first(sessions: Sessions, clock: Clock, kept: Kept) -> None:
    hall, study = sessions.let_in("hall"), sessions.let_in("study")
    clock.at += timedelta(minutes=1)
    sessions.find(study.token)
    clock.at += timedelta(minutes=1)
    sessions.find(hall.token)
    assert [(each.station, each.used_at) for each in sessions.all()] == [
        ("hall", clock.at), ("study", clock.at - timedelta(minutes=1)),
    ]  # fmt: skip
    sessions.save_if_changed()
    assert [each.station for each in Sessions(clock.clock(), kept.data, kept.write).all()] == ["hall", "study"]


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xff",
        b"[]",
        b"null",
        b'{"saved_at": "yesterday"}',
        b'{"saved_at": "2026-05-01T09:00:00+00:00", "sessions": [{"id": 1}]}',
        b'{"saved_at": "2026-05-01T09:00:00", "sessions": []}',
        b"[" * 100_000,
    ],
    ids=range(8),
)
def test_a_file_that_cannot_be_read_lets_nobody_in(clock: Clock, kept: Kept, data: bytes) -> None:
    sessions = Sessions(clock.clock(), data, kept.write)
    assert sessions.all() == ()
    assert sessions.find("") is None
