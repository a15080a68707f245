"""How a browser comes in, and what strangers can and cannot do about it."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.desk.pairing import CODE_LASTS_S, MOST_ADDRESSES, TRIES, WAIT_S, Authenticator, code_words
from intake.desk.sessions import HOST, SessionClock, Sessions
from intake.errors import RefusedError, UsageError


class Clock:
    """A date that may be set, and seconds that only go on."""

    def __init__(self) -> None:
        self.at = datetime(2026, 5, 1, 9, tzinfo=UTC)
        self.seconds = 1000.0

    def clock(self) -> SessionClock:
        return SessionClock(lambda: self.at, lambda: self.seconds)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def door(clock: Clock) -> Authenticator:
    return Authenticator(Sessions(clock.clock(), None, lambda _data: None), clock.clock())


def test_a_code_lets_one_phone_in_under_its_name(door: Authenticator) -> None:
    code = door.code()
    session = door.pair(f" {code_words(code).lower()} ", "  the   hall ", "192.0.2.7")
    assert (session.station, session.host) == ("the hall", False)
    assert door.sessions.find(session.token) == session
    with pytest.raises(RefusedError):
        door.pair(code, "", "192.0.2.7")


def test_the_same_code_is_shown_until_it_is_used_or_has_run_out(door: Authenticator, clock: Clock) -> None:
    first = door.code()
    assert door.code() == first
    door.pair(first, "", "192.0.2.7")
    second = door.code()
    assert second != first
    clock.seconds += CODE_LASTS_S
    assert door.code() != second


def test_a_code_runs_out_whatever_the_date_says(door: Authenticator, clock: Clock) -> None:
    """OWASP ASVS 4.0.3, 2.7.2: out-of-band codes expire after ten minutes."""
    code = door.code()
    assert CODE_LASTS_S == 600
    clock.at -= timedelta(days=365)
    clock.seconds += 599
    assert door.code() == code
    clock.seconds += 1
    with pytest.raises(RefusedError):
        door.pair(code, "", "192.0.2.7")


def test_a_newer_code_ends_the_older(door: Authenticator) -> None:
    old = door.code()
    door.new_code()
    with pytest.raises(RefusedError):
        door.pair(old, "", "192.0.2.7")


def wrong(door: Authenticator, address: str, times: int) -> None:
    for _ in range(times):
        with pytest.raises(RefusedError):
            door.pair("22222222", "", address)


def test_a_stranger_cannot_void_the_code(door: Authenticator) -> None:
    code = door.code()
    for nth in range(50):
        wrong(door, f"198.51.100.{nth}", TRIES + 1)
    assert door.pair(code, "hall", "192.0.2.7").station == "hall"


def test_an_address_that_guesses_waits(door: Authenticator, clock: Clock) -> None:
    """OWASP ASVS 4.0.3, 2.2.1: at most 100 wrong ones an hour; here 30."""
    code = door.code()
    wrong(door, "198.51.100.1", TRIES)
    with pytest.raises(RefusedError):
        door.pair(code, "", "198.51.100.1")
    clock.seconds += WAIT_S
    wrong(door, "198.51.100.1", TRIES - 1)
    assert door.pair(door.code(), "late", "198.51.100.1").station == "late"
    assert 3600 / WAIT_S * TRIES <= 100


def test_a_new_code_lets_everybody_try_again(door: Authenticator) -> None:
    door.code()
    wrong(door, "198.51.100.1", TRIES)
    assert door.pair(door.new_code(), "", "198.51.100.1")


def test_wrong_codes_are_counted_by_address(door: Authenticator, clock: Clock) -> None:
    door.code()
    wrong(door, "198.51.100.1", 7)
    clock.at += timedelta(minutes=1)
    wrong(door, "198.51.100.2", 2)
    assert [(each.address, each.count) for each in door.wrong_codes()] == [("198.51.100.2", 2), ("198.51.100.1", 7)]


def test_of_very_many_addresses_the_latest_are_kept_and_the_rest_counted(door: Authenticator) -> None:
    door.code()
    for nth in range(MOST_ADDRESSES + 30):
        wrong(door, f"address {nth}", 1)
    assert (len(door.wrong_codes()), door.forgotten) == (MOST_ADDRESSES, 30)


def test_no_code_is_valid_before_one_was_shown(door: Authenticator) -> None:
    with pytest.raises(RefusedError):
        door.pair("", "", "192.0.2.7")


@pytest.mark.parametrize("name", ["x" * 31, "desk", " DESK ", "cli"])
def test_a_name_that_cannot_be_used_does_not_use_up_the_code(door: Authenticator, name: str) -> None:
    code = door.code()
    with pytest.raises(UsageError):
        door.pair(code, name, "192.0.2.7")
    assert door.pair(code, "", "192.0.2.7").station.startswith("phone-")


def test_two_stations_never_have_one_name(door: Authenticator) -> None:
    names = [door.pair(door.code(), name, "192.0.2.7").station for name in ("hall", "Hall", "hall")]
    assert names == ["hall", "Hall 2", "hall 3"]


def test_the_link_lets_this_machine_in_once(clock: Clock) -> None:
    links: list[str] = []
    door = Authenticator(Sessions(clock.clock(), None, lambda _data: None), clock.clock(), links.append)
    first = door.link_key
    session = door.enter(first)
    assert (session.host, session.station) == (True, HOST)
    with pytest.raises(RefusedError):
        door.enter(first)
    assert links == [door.link_key]
    assert door.enter(door.link_key).host
    with pytest.raises(RefusedError):
        door.enter("another")


def test_form_tokens_belong_to_one_session(door: Authenticator) -> None:
    one, other = door.enter(door.link_key), door.enter(door.link_key)
    assert len({one.form_token, other.form_token, one.token, other.token}) == 4


@given(st.text())
def test_an_invented_token_opens_nothing(token: str) -> None:
    clock = Clock().clock()
    door = Authenticator(Sessions(clock, None, lambda _data: None), clock)
    door.enter(door.link_key)
    assert door.sessions.find(token) is None


@given(st.integers(0, 42), st.characters(min_codepoint=33, max_codepoint=126))
def test_a_token_with_one_sign_changed_opens_nothing(at: int, sign: str) -> None:
    clock = Clock().clock()
    door = Authenticator(Sessions(clock, None, lambda _data: None), clock)
    token = door.enter(door.link_key).token
    at %= len(token)
    if token[at] != sign:
        assert door.sessions.find(token[:at] + sign + token[at + 1 :]) is None
