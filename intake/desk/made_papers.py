"""Papers made a moment ago: a paper's page tells of it what its frame shows, and both are of one making.

A paper is made again once anything is entered into the library, and in any case after a minute: what others act on is
made of a library that is compared with its ledger, and what was compared long ago may have been altered since.
"""

import threading
from dataclasses import dataclass
from datetime import date
from typing import Any

from intake.desk import desk_startup
from intake.desk.desk_startup import Library
from intake.flow.lookup.two_versions import version_of
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.render import RenderedPaper, render

KEPT_S = 60.0
"""A browser asks for the frame as soon as it has the page."""
MOST_BYTES = 64_000_000
MOST = 8

_Key = tuple[str, PaperOptions, PaperFormat, date]


@dataclass(frozen=True, slots=True)
class _Made:
    paper: RenderedPaper
    version: int
    until_s: float


class MadePapers:
    """The papers of one library that were made last, a few of them."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._made: dict[_Key, _Made] = {}

    def make(self, library: Library, paper: Paper[Any], options: PaperOptions, form: PaperFormat) -> RenderedPaper:
        """Return a paper of today; arguments and errors are those of `intake.flow.papers.render.render`."""
        today = desk_startup.today()
        key = (paper.name, options, form, today)
        with library.reading() as records:
            version = version_of(records)  # looked up before: what is entered meanwhile makes the next one anew
        now_s = desk_startup.steady_s()
        with self._lock:
            self._made = {key: made for key, made in self._made.items() if self._is_good(made, version, now_s)}
            if key in self._made:
                return self._made[key].paper
        rendered = render(library, paper, options, form, on=today)
        with self._lock:
            self._made[key] = _Made(rendered, version, desk_startup.steady_s() + KEPT_S)
            while len(self._made) > MOST or sum(len(made.paper.data) for made in self._made.values()) > MOST_BYTES:
                del self._made[next(iter(self._made))]
        return rendered

    @staticmethod
    def _is_good(made: _Made, version: int, now_s: float) -> bool:
        return made.version == version and now_s < made.until_s
