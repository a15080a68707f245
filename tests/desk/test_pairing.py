"""Who is let in, and for how long."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.desk.pairing import CODE_LASTS, SESSION_LASTS, WRONG_GUESSES, Authenticator, code_words
from intake.errors import RefusedError

KEY = b"k" * 32


class Clock:
    def __init__(self) -> None:
        self.at = datetime(2026, 5, 1, 9, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.at


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def door(clock: Clock) -> Authenticator:
    return Authenticator(KEY, clock, "link")


def test_a_code_lets_one_phone_in(door: Authenticator) -> None:
    code = door.new_code()
    session = door.pair(f" {code_words(code).lower()} ")
    assert session.station.startswith("phone-")
    assert not session.host
    assert door.session(session.token) == session
    with pytest.raises(RefusedError):
        door.pair(code)


def test_a_code_runs_out(door: Authenticator, clock: Clock) -> None:
    code = door.new_code()
    clock.at += CODE_LASTS
    with pytest.raises(RefusedError):
        door.pair(code)


def test_a_newer_code_ends_the_older(door: Authenticator) -> None:
    old = door.new_code()
    door.new_code()
    with pytest.raises(RefusedError):
        door.pair(old)


def test_guessing_ends_a_code(door: Authenticator) -> None:
    code = door.new_code()
    for _ in range(WRONG_GUESSES):
        with pytest.raises(RefusedError):
            door.pair("22222222")
    with pytest.raises(RefusedError):
        door.pair(code)


def test_no_code_is_valid_before_one_was_shown(door: Authenticator) -> None:
    with pytest.raises(RefusedError):
        door.pair("")


def test_the_link_lets_this_machine_in(door: Authenticator) -> None:
    assert door.enter("link").host
    with pytest.raises(RefusedError):
        door.enter("another")


def test_a_session_outlives_a_restart_and_runs_out(door: Authenticator, clock: Clock) -> None:
    session = door.enter("link")
    assert Authenticator(KEY, clock, "other link").session(session.token) == session
    clock.at += SESSION_LASTS + timedelta(hours=1)
    assert door.session(session.token) is None


def test_another_key_ends_every_session(door: Authenticator) -> None:
    session = door.enter("link")
    host = door.forget(b"n" * 32)
    assert door.session(session.token) is None
    assert door.session(host.token) == host


def test_form_tokens_belong_to_one_session(door: Authenticator) -> None:
    one, other = door.enter("link"), door.enter("link")
    assert len({one.form_token, other.form_token, one.token, other.token}) == 4


@given(st.text())
def test_an_invented_token_opens_nothing(token: str) -> None:
    door = Authenticator(KEY, Clock(), "link")
    assert door.session(token.encode("utf-8", "replace").decode()) is None


@given(st.integers(0, 200), st.characters(min_codepoint=33, max_codepoint=126))
def test_a_token_with_one_sign_changed_opens_nothing(at: int, sign: str) -> None:
    door = Authenticator(KEY, Clock(), "link")
    token = door.enter("link").token
    at %= len(token)
    if token[at] != sign:
        assert door.session(token[:at] + sign + token[at + 1 :]) is None
