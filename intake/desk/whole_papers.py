"""A paper of many parts, made beside the requests: its page tells how far it is, and then hands it over."""

import logging
import threading
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.rendering import back_to, page, text_of
from intake.desk.request_state import Desk, desk_of, session_of
from intake.errors import IntakeError, RefusedError
from intake.flow.papers.kept_options import usual_options
from intake.flow.papers.options import PaperOptions, with_typed
from intake.flow.papers.paper import Paper
from intake.flow.papers.registry import find_paper
from intake.flow.papers.render import render_in_parts
from intake.flow.papers.suggestions import suggestions
from intake.units.advice import ReadAt, read_at

logger = logging.getLogger(__name__)


@dataclass(slots=True)
class WholePaper:
    """A paper that is being made.

    Attributes:
        parts: of which it is made.
        done: how many of them are.
        notices: what the person who makes it is told beside it.
        file: the key of the finished file; empty until then.
        trouble: why it could not be made; None while nothing is known to be wrong.
    """

    paper: Paper[Any]
    parts: tuple[str, ...]
    query: str
    done: int = 0
    notices: tuple[str, ...] = ()
    file: str = ""
    trouble: IntakeError | None = None


def parts_of(desk: Desk, paper: Paper[Any]) -> tuple[str, ...]:
    """Return the parts of a paper that can be looked at one at a time; none where its pages belong together."""
    option = next((option for option in paper.options if option.name == paper.parts), None)
    if option is None or option.suggests is None:
        return ()
    with desk.library.reading() as records:
        return suggestions(records, [option.suggests])[option.suggests]


def texts_of(request: Request, paper: Paper[Any]) -> dict[str, str]:
    """Return what a request says of the paper's options, as text."""
    query = request.query_params
    asked = ((option.name, text_of(",".join(filter(None, query.getlist(option.name))))) for option in paper.options)
    return {name: text for name, text in asked if text}


def options_of(request: Request, paper: Paper[Any]) -> PaperOptions:
    """Return the options of a paper: as is usual in the library, with what a request says of them."""
    return with_typed(usual_options(desk_of(request).library, paper), paper.options, texts_of(request, paper))


def start_whole(request: Request) -> Response:
    """Begin to make a whole paper, and go to the page that tells how far it is."""
    desk, session = desk_of(request), session_of(request)
    paper = find_paper(text_of(request.path_params["paper"]))
    options, parts = options_of(request, paper), parts_of(desk, paper)
    if not parts:
        raise RefusedError(paper.title, "is not made of parts", "open it as it is")
    whole = WholePaper(paper, parts, urlencode({"paper": paper.name, **texts_of(request, paper)}))
    key = desk.uploads.keep_plan(session.id, whole)
    threading.Thread(target=_make, args=(desk, session.id, whole, options), name="whole paper", daemon=True).start()
    return back_to(f"/papers/whole/{key}")


def _make(desk: Desk, session: str, whole: WholePaper, options: PaperOptions) -> None:
    """Make the paper, in a thread of its own."""

    def advance(done: int) -> None:
        whole.done = done

    with read_at(ReadAt.DESK):
        try:
            rendered = render_in_parts(
                desk.library, whole.paper, options, whole.parts, on=desk_startup.today(), advance=advance
            )
            path = desk.uploads.new_folder() / f"{whole.paper.name}.pdf"
            path.write_bytes(rendered.data)
            whole.notices = rendered.notices
            whole.file = desk.uploads.keep_paths(session, [path])
        except IntakeError as error:
            whole.trouble = error
        except Exception as error:
            logger.exception("a whole paper could not be made")
            whole.trouble = RefusedError(
                whole.paper.title, f"could not be made ({type(error).__name__})", "try it again"
            )


def show_whole(request: Request) -> Response:
    """Show how far a whole paper is."""
    whole = desk_of(request).uploads.find(session_of(request).id, text_of(request.path_params["key"])).plan
    if not isinstance(whole, WholePaper):
        raise RefusedError("This paper", "is not being made", "choose it again")
    return page(request, "whole_paper.html", whole=whole)
