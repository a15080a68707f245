"""What a phone asks the laptop for: its request waits until a person at the laptop says yes or no.

A phone scans and inspects on its own. Finishing a box, taking back another's step, and what lists or changes what books
are worth wait here; with a yes the request runs as the phone sent it, and the phone gets its answer.
"""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum
from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.sessions import DeskSession
from intake.errors import RefusedError

MOST_OF_A_STATION = 8
"""Requests of one station that are kept, answered or not."""
YES_LASTS = timedelta(minutes=15)
"""How long a yes to a page opens it, where the phone asks for the page again instead of taking the answer."""

Endpoint = Callable[[Request], Response]


class ApprovalState(Enum):
    """How far a request has come."""

    WAITING = "waiting"
    GRANTED = "granted"
    DECLINED = "declined"


@dataclass(slots=True, kw_only=True)
class Approval:
    """A request that waits for the laptop's word, or has had it.

    Attributes:
        question: what the laptop is asked, such as 'Finish box B1-56'.
        facts: what whoever says yes should know besides, a line each.
        back: the page that the request came from.
        why: why it could not be done after a yes, in a sentence; empty where it was, or that is not known.
        answer: what the request was answered after a yes.
        answered_at: when the laptop answered.
        seen: whether the station was shown the laptop's word.
        used: whether the station was given what it asked for.
    """

    id: int
    session: DeskSession
    question: str
    back: str
    at: datetime
    request: Request
    endpoint: Endpoint
    facts: tuple[str, ...] = ()
    state: ApprovalState = ApprovalState.WAITING
    why: str = ""
    answer: Response | None = None
    answered_at: datetime | None = None
    seen: bool = False
    used: bool = False

    @property
    def is_ready(self) -> bool:
        """Return whether what was asked for waits to be fetched."""
        return self.answer is not None and not self.failed and not self.used

    @property
    def failed(self) -> bool:
        """Return whether the laptop said yes, and it could not be done."""
        return self.answer is not None and self.answer.status_code >= HTTPStatus.BAD_REQUEST


class Approvals:
    """The requests that wait for the laptop's word; they are forgotten when the desk stops."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._all: dict[int, Approval] = {}
        self._next = 1

    def ask(
        self,
        session: DeskSession,
        request: Request,
        endpoint: Endpoint,
        question: str,
        back: str,
        facts: tuple[str, ...] = (),
    ) -> Approval:
        """Let a request of a session wait; one that waits already waits once.

        Raises:
            RefusedError: the station has too many waiting.
        """
        with self._lock:
            own = [approval for approval in self._all.values() if approval.session.id == session.id]
            waiting = [approval for approval in own if approval.state is ApprovalState.WAITING]
            for approval in waiting:
                if _same(approval.request, request):
                    return approval
            if len(waiting) >= MOST_OF_A_STATION:
                why = f"waits for the laptop's word on {len(waiting)} steps already"
                raise RefusedError("This station", why, "let the laptop answer them first")
            if len(own) >= MOST_OF_A_STATION:
                answered = [approval for approval in own if approval.state is not ApprovalState.WAITING]
                del self._all[min(answered, key=lambda approval: approval.is_ready).id]
            asked = Approval(
                id=self._next,
                session=session,
                question=question,
                back=back,
                at=desk_startup.now(),
                request=request,
                endpoint=endpoint,
                facts=facts,
            )
            self._next += 1
            self._all[asked.id] = asked
            return asked

    def use(self, session: DeskSession, request: Request) -> bool:
        """Use up a yes that a station was given lately for the page that it asks for again; tell whether there was one.

        What changes something ran when the laptop said yes: it is asked for anew.
        """
        with self._lock:
            since = desk_startup.now() - YES_LASTS
            for approval in self._all.values():
                is_own = approval.session.id == session.id and _same(approval.request, request)
                is_lately = approval.answered_at is not None and approval.answered_at >= since
                if is_own and is_lately and approval.is_ready and request.method == "GET":
                    approval.seen = approval.used = True
                    return True
        return False

    def unseen(self, session: DeskSession) -> list[Approval]:
        """Return the requests of a session that were answered without its having been shown that, the oldest first."""
        return [each for each in reversed(self.all_of(session)) if each.answered_at is not None and not each.seen]

    def waiting(self) -> list[Approval]:
        """Return the requests that the laptop has not answered, the oldest first."""
        with self._lock:
            return [approval for approval in self._all.values() if approval.state is ApprovalState.WAITING]

    def all_of(self, session: DeskSession) -> list[Approval]:
        """Return the requests of a session that are kept, the latest first."""
        with self._lock:
            return [approval for approval in reversed(self._all.values()) if approval.session.id == session.id]

    def of(self, session: DeskSession, number: int) -> Approval | None:
        """Return a request of a session; None where it is not one of its own, or was forgotten."""
        approval = self._all.get(number)
        return approval if approval is not None and approval.session.id == session.id else None

    def decide(self, number: int, *, granted: bool) -> Approval:
        """Answer a request, once; whoever does so with a yes runs it.

        Raises:
            RefusedError: it was answered before, or its station was sent away.
        """
        with self._lock:
            approval = self._all.get(number)
            if approval is None or approval.state is not ApprovalState.WAITING:
                why = "does not wait any more: it was answered, or its station has gone"
                raise RefusedError("This request", why, "look at the list of those that wait")
            approval.state = ApprovalState.GRANTED if granted else ApprovalState.DECLINED
            approval.answered_at = desk_startup.now()
        return approval

    def forget(self, session_id: str) -> None:
        """Drop the requests of a session that ended."""
        with self._lock:
            self._all = {number: kept for number, kept in self._all.items() if kept.session.id != session_id}


def _same(one: Request, other: Request) -> bool:
    return (one.method, str(one.url), _body(one)) == (other.method, str(other.url), _body(other))


def _body(request: Request) -> bytes:
    body: bytes = getattr(request.state, "body", b"")
    return body
