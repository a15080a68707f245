"""Who may come in: the browser of this machine by a link, a phone by a code that it reads from the laptop's screen.

A session is a signed text (HMAC-SHA-256), so that it outlives a restart of the desk. A code works once, for ten
minutes, and a few wrong guesses end it.

Does not know users: whoever is let in may do everything, except let others in, which only this machine's browser may.

Sources: RFC 2104 (HMAC); OWASP cheat sheet on cross-site request forgery, signed token (from memory).
"""

import hmac
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from intake.desk import desk_startup
from intake.errors import RefusedError

HOST = "desk"
CODE_LENGTH = 8
CODE_LASTS = timedelta(minutes=10)
SESSION_LASTS = timedelta(days=30)
WRONG_GUESSES = 5


@dataclass(frozen=True, slots=True)
class DeskSession:
    """A browser that was let in.

    Attributes:
        station: what the ledger calls it.
        token: the signed text that its cookie carries.
        form_token: what each form of this session carries, so that no other site can send one.
    """

    station: str
    token: str
    form_token: str

    @property
    def host(self) -> bool:
        """Return whether it is the browser of the machine that the desk runs on."""
        return self.station == HOST


class Authenticator:
    """Lets browsers in and recognises those it has let in.

    Args:
        key: what sessions are signed with.
        now: the clock, in UTC.
        link_key: the secret part of the link that opens the desk on this machine.
    """

    def __init__(self, key: bytes, now: Callable[[], datetime], link_key: str) -> None:
        self._key = key
        self._now = now
        self.link_key = link_key
        self._lock = threading.Lock()
        self._code: tuple[str, datetime] | None = None
        self._wrong = 0

    def new_code(self) -> str:
        """Draw a pairing code; the one before it no longer works."""
        with self._lock:
            code = desk_startup.random_code(CODE_LENGTH)
            self._code = (code, self._now() + CODE_LASTS)
            self._wrong = 0
            return code

    def pair(self, typed: str) -> DeskSession:
        """Let a phone in by the code on the laptop's screen.

        Raises:
            RefusedError: it is not the code, or the code has been used or has run out.
        """
        code = "".join(typed.upper().split()).replace("-", "")
        with self._lock:
            if self._code is None or self._now() >= self._code[1]:
                raise RefusedError("This pairing code", "is not valid any more", "show a new one on the laptop")
            if not hmac.compare_digest(code.encode(), self._code[0].encode()):
                self._wrong += 1
                if self._wrong >= WRONG_GUESSES:
                    self._code = None
                raise RefusedError("This pairing code", "is wrong", "read it again from the laptop's screen")
            self._code = None
        return self._session(f"phone-{desk_startup.random_code(4).lower()}")

    def enter(self, link_key: str) -> DeskSession:
        """Let this machine's own browser in by the link that the command printed.

        Raises:
            RefusedError: the link is from an earlier run, or was mistyped.
        """
        if not hmac.compare_digest(link_key.encode(), self.link_key.encode()):
            raise RefusedError(
                "This link", "is not valid any more", "open the link that the desk printed when it started"
            )
        return self._session(HOST)

    def session(self, token: str) -> DeskSession | None:
        """Return the session of a cookie; None where it is not one of ours or has run out."""
        body, dot, signature = token.rpartition(".")
        parts = body.split(".")
        if not dot or len(parts) != 3 or not hmac.compare_digest(signature.encode(), self._sign(body).encode()):
            return None
        since = datetime.fromtimestamp(int(parts[1]), tz=self._now().tzinfo)
        if not timedelta() <= self._now() - since + CODE_LASTS <= SESSION_LASTS:
            return None
        return DeskSession(parts[0], token, self._sign(f"form {token}"))

    def forget(self, key: bytes) -> DeskSession:
        """End every session by signing with another key, and let this machine's browser in again."""
        with self._lock:
            self._key = key
            self._code = None
        return self._session(HOST)

    def _session(self, station: str) -> DeskSession:
        body = f"{station}.{int(self._now().timestamp())}.{desk_startup.random_token()}"
        token = f"{body}.{self._sign(body)}"
        return DeskSession(station, token, self._sign(f"form {token}"))

    def _sign(self, text: str) -> str:
        return hmac.new(self._key, text.encode(), "sha256").hexdigest()


def code_words(code: str) -> str:
    """Write a code the way it is read aloud.

    >>> code_words("BCDFGHJK")
    'BCDF-GHJK'
    """
    return f"{code[:4]}-{code[4:]}"
