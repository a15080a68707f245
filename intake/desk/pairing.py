"""How a browser comes in: the laptop's own by a link, a phone by a code that it reads from the laptop's screen.

The link and the code each work once; a code lasts ten minutes. Wrong codes are counted by the address they come from,
and five from one address make that address wait: a stranger cannot void the code, and the phone beside him comes in.
Nobody guesses one of the 26^8 codes: with five tries in ten minutes for each, a thousand addresses at once would need
five centuries for an even chance.

Sources: OWASP ASVS 4.0.3, 2.2.1 and 2.7.1 to 2.7.6.
"""

import hmac
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from intake.desk import desk_startup
from intake.desk.sessions import HOST, DeskSession, SessionClock, Sessions, station_name
from intake.errors import RefusedError

CODE_LENGTH = 8
CODE_LASTS_S = timedelta(minutes=10).total_seconds()
TRIES = 5
WAIT_S = timedelta(minutes=10).total_seconds()
MOST_ADDRESSES = 200
"""Addresses whose wrong codes are remembered; of more than these the oldest are forgotten, and it is said how many."""


@dataclass(slots=True)
class WrongCodes:
    """The wrong codes that came from one address.

    Attributes:
        count: all of them, also those typed while the address had to wait or no code was valid.
        since_pause: guesses since it last had to wait.
        last_at: the date of the last one, in UTC.
        waits_until_s: a moment of the steady clock.
    """

    address: str
    count: int
    since_pause: int
    last_at: datetime
    waits_until_s: float


class Authenticator:
    """Lets browsers in.

    Args:
        sessions: where those that came in are kept.
        clock: see `Sessions`.
        on_link: called with the key of the next link once the one before was used.
    """

    def __init__(self, sessions: Sessions, clock: SessionClock, on_link: Callable[[str], object] | None = None) -> None:
        self.sessions = sessions
        self.on_link = on_link
        self.link_key = desk_startup.random_token()
        self.forgotten = 0
        self._clock = clock
        self._lock = threading.Lock()
        self._code: tuple[str, float] | None = None
        self._wrong: dict[str, WrongCodes] = {}

    def code(self) -> str:
        """Return the code that works now, drawing one where there is none."""
        with self._lock:
            if self._code is None or self._code[1] <= self._clock.steady_s():
                return self._draw()
            return self._code[0]

    def new_code(self) -> str:
        """Draw a code; the one before no longer works, and nobody has to wait any more."""
        with self._lock:
            for wrong in self._wrong.values():
                wrong.waits_until_s, wrong.since_pause = 0.0, 0
            return self._draw()

    def pair(self, typed: str, name: str, address: str) -> DeskSession:
        """Let a phone in by the code on the laptop's screen.

        Args:
            typed: the code, however it is spaced.
            name: what its station is to be called; empty for a name that is drawn.
            address: where the request comes from.

        Raises:
            RefusedError: it is not the code, it has been used or has run out, or the address has to wait.
            UsageError: the name cannot be used; the code still works.
        """
        code = "".join(typed.upper().split()).replace("-", "")
        station = station_name(name)
        with self._lock:
            wrong = self._wrong.get(address)
            if wrong is not None and wrong.waits_until_s > self._clock.steady_s():
                self._note(address, guessed=False)
                why = "has sent too many wrong codes"
                raise RefusedError("This device", why, "wait ten minutes, or let the laptop show a new code")
            if self._code is None or self._code[1] <= self._clock.steady_s():
                self._note(address, guessed=False)
                raise RefusedError("This pairing code", "is not valid any more", "show a new one on the laptop")
            if not hmac.compare_digest(code.encode("utf-8", "replace"), self._code[0].encode()):
                self._note(address, guessed=True)
                raise RefusedError("This pairing code", "is wrong", "read it again from the laptop's screen")
            self._code = None
        return self.sessions.let_in(station)

    def enter(self, link_key: str) -> DeskSession:
        """Let this machine's own browser in by the link that the command printed last; it works once.

        Raises:
            RefusedError: the link was used, is from an earlier run, or was mistyped.
        """
        with self._lock:
            if not hmac.compare_digest(link_key.encode("utf-8", "replace"), self.link_key.encode()):
                why = "is not valid any more: each works once"
                raise RefusedError("This link", why, "open the link that the desk printed last, where it was started")
            self.link_key = desk_startup.random_token()
        session = self.sessions.let_in(HOST, host=True)
        if self.on_link is not None:
            self.on_link(self.link_key)
        return session

    def wrong_codes(self) -> tuple[WrongCodes, ...]:
        """Return the addresses that wrong codes came from, the latest first."""
        with self._lock:
            return tuple(sorted(self._wrong.values(), key=lambda wrong: wrong.last_at, reverse=True))

    def _draw(self) -> str:
        code = desk_startup.random_code(CODE_LENGTH)
        self._code = (code, self._clock.steady_s() + CODE_LASTS_S)
        return code

    def _note(self, address: str, *, guessed: bool) -> None:
        """Count a wrong code; only one that could have been right counts towards having to wait."""
        now, steady_s = self._clock.now(), self._clock.steady_s()
        wrong = self._wrong.pop(address, None) or WrongCodes(address, 0, 0, now, 0.0)
        wrong.count += 1
        wrong.last_at = now
        if guessed:
            wrong.since_pause += 1
            if wrong.since_pause >= TRIES:
                wrong.waits_until_s, wrong.since_pause = steady_s + WAIT_S, 0
        self._wrong[address] = wrong
        while len(self._wrong) > MOST_ADDRESSES:
            del self._wrong[next(iter(self._wrong))]
            self.forgotten += 1


def code_words(code: str) -> str:
    """Write a code the way it is read aloud.

    >>> code_words("BCDFGHJK")
    'BCDF-GHJK'
    """
    return f"{code[:4]}-{code[4:]}"
