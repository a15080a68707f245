"""The browsers that were let in: each with its station's name, when it was used last, and when it ends.

A session's cookie is a random text, of which the desk keeps the digest only. How long a session lasts is measured by a
clock that nobody can set, so that a wrong date ends none; while the desk is off nothing measures, and at most a day
counts each time, whatever the date says then.

Sources: OWASP ASVS 4.0.3, V3 (sessions); RFC 2104 (HMAC); FIPS 180-4 (SHA-256).
"""

import hashlib
import hmac
import json
import logging
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from intake.desk import desk_startup
from intake.errors import FileError, UsageError

HOST = "desk"
SESSION_LASTS = timedelta(days=30)
OFF_COUNTS_S = timedelta(days=1).total_seconds()
LONGEST_NAME = 30
NOT_FOR_PHONES = frozenset({HOST, "cli"})
"""Names by which the ledger knows the laptop's own browser and its command line."""

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class DeskSession:
    """A browser that was let in, as it makes a request.

    Attributes:
        id: names the session on the desk's pages; it opens nothing.
        station: what the ledger calls it.
        host: whether it is a browser of the machine that the desk runs on.
        let_in_at: when, in UTC, as the date stood then.
        token: the secret text that its cookie carries.
        form_token: what each form of this session carries, so that no other site can send one.
    """

    id: str
    station: str
    host: bool
    let_in_at: datetime
    token: str
    form_token: str


@dataclass(slots=True, kw_only=True)
class LetIn:
    """What is kept of a session; `ends_s` is a moment of the steady clock."""

    id: str
    station: str
    host: bool
    digest: str
    let_in_at: datetime
    used_at: datetime
    ends_s: float


@dataclass(frozen=True, slots=True)
class SessionClock:
    """What the desk knows of time: the date, which may be set, and seconds, which only go on."""

    now: Callable[[], datetime]
    steady_s: Callable[[], float]


class Sessions:
    """The sessions of one desk, of which a file is kept so that they outlive a restart.

    Args:
        clock: dates for the pages, seconds for what ends.
        kept: what `write` was given last, by this run or an earlier one; None where nothing was.
        write: keeps the sessions; it may raise a `FileError`.
    """

    def __init__(self, clock: SessionClock, kept: bytes | None, write: Callable[[bytes], object]) -> None:
        self._clock = clock
        self._write = write
        self._lock = threading.Lock()
        self._by_digest = {letin.digest: letin for letin in self._read(kept)}
        self._changed = False

    def let_in(self, station: str, *, host: bool = False) -> DeskSession:
        """Begin a session; a name that another session has is counted on.

        Raises:
            FileError: it cannot be kept.
        """
        token = desk_startup.random_token()
        now = self._clock.now()
        with self._lock:
            begun = LetIn(
                id=desk_startup.random_code(6).lower(),
                station=station if host else self._free_name(station),
                host=host,
                digest=_digest(token),
                let_in_at=now,
                used_at=now,
                ends_s=self._clock.steady_s() + SESSION_LASTS.total_seconds(),
            )
            self._by_digest[begun.digest] = begun
        try:
            self.save()
        except FileError:
            with self._lock:
                del self._by_digest[begun.digest]
            raise
        return _session(begun, token)

    def find(self, token: str) -> DeskSession | None:
        """Return the session of a cookie and note that it was used; None where it was never begun, or has ended."""
        with self._lock:
            letin = self._by_digest.get(_digest(token))
            if letin is None or letin.ends_s <= self._clock.steady_s():
                return None
            letin.used_at = self._clock.now()
            self._changed = True
            return _session(letin, token)

    def end(self, ids: Iterable[str]) -> None:
        """End sessions.

        Raises:
            FileError: that they ended cannot be kept; they have ended all the same until the desk is started again.
        """
        gone = set(ids)
        with self._lock:
            self._by_digest = {digest: kept for digest, kept in self._by_digest.items() if kept.id not in gone}
        self.save()

    def all(self) -> tuple[LetIn, ...]:
        """Return the sessions that last, those used last first."""
        with self._lock:
            lasting = [letin for letin in self._by_digest.values() if letin.ends_s > self._clock.steady_s()]
        return tuple(sorted(lasting, key=lambda letin: letin.used_at, reverse=True))

    def save_if_changed(self) -> None:
        """Keep when sessions were used last.

        Raises:
            FileError: the file cannot be written.
        """
        if self._changed:
            self.save()

    def save(self) -> None:
        """Keep the sessions, how long each still lasts, and never what opens them.

        Raises:
            FileError: the file cannot be written.
        """
        steady_s = self._clock.steady_s()
        sessions = [
            {
                "id": letin.id,
                "station": letin.station,
                "host": letin.host,
                "digest": letin.digest,
                "let_in_at": letin.let_in_at.isoformat(),
                "used_at": letin.used_at.isoformat(),
                "left_s": letin.ends_s - steady_s,
            }
            for letin in self.all()
        ]
        with self._lock:
            self._changed = False
            kept = {"saved_at": self._clock.now().isoformat(), "sessions": sessions}
            self._write(json.dumps(kept, ensure_ascii=False, indent=1).encode())

    def _read(self, kept: bytes | None) -> list[LetIn]:
        if kept is None:
            return []
        try:
            content: dict[str, Any] = json.loads(kept)
            off_s = (self._clock.now() - datetime.fromisoformat(content["saved_at"])).total_seconds()
            begin_s = self._clock.steady_s() - min(max(off_s, 0.0), OFF_COUNTS_S)
            return [_letin(session, begin_s) for session in content["sessions"]]
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            logger.warning("the file of the sessions cannot be read: every browser has to be let in anew")
            return []

    def _free_name(self, station: str) -> str:
        taken = {letin.station.casefold() for letin in self._by_digest.values()}
        name, nth = station, 1
        while name.casefold() in taken:
            nth += 1
            name = f"{station} {nth}"
        return name


def station_name(typed: str) -> str:
    """Return the name of a station as the ledger is to have it; a drawn one where nothing was typed.

    Raises:
        UsageError: it is too long, or one of the laptop's own names.
    """
    name = " ".join(typed.split())
    if not name:
        return f"phone-{desk_startup.random_code(4).lower()}"
    if len(name) > LONGEST_NAME:
        why = f"has {len(name)} characters, more than the {LONGEST_NAME} that a station's name may have"
        raise UsageError(f"The name '{name[:LONGEST_NAME]} …'", why, "type a shorter one")
    if name.casefold() in NOT_FOR_PHONES:
        raise UsageError(f"The name '{name}'", "is the laptop's own in the ledger", "type another name")
    return name


def _letin(kept: dict[str, Any], begin_s: float) -> LetIn:
    return LetIn(
        id=str(kept["id"]),
        station=str(kept["station"]),
        host=kept["host"] is True,
        digest=str(kept["digest"]),
        let_in_at=datetime.fromisoformat(kept["let_in_at"]),
        used_at=datetime.fromisoformat(kept["used_at"]),
        ends_s=begin_s + float(kept["left_s"]),
    )


def _session(letin: LetIn, token: str) -> DeskSession:
    form_token = hmac.new(token.encode(), b"form", "sha256").hexdigest()
    return DeskSession(
        id=letin.id,
        station=letin.station,
        host=letin.host,
        let_in_at=letin.let_in_at,
        token=token,
        form_token=form_token,
    )


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
