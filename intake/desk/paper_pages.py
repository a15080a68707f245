"""The papers: chosen with their options, looked at as the real PDF, printed by the browser, or saved in any format."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.phone_limits import lists_values
from intake.desk.refusals import refusal
from intake.desk.rendering import back_to, fields_of, page, text_of
from intake.desk.request_state import desk_of, session_of
from intake.desk.whole_papers import options_of, parts_of, texts_of
from intake.errors import IntakeError, UsageError
from intake.flow.papers.kept_options import usual_options
from intake.flow.papers.label_papers import LabelStock, label_stock, template_names
from intake.flow.papers.option_fields import TEMPLATE, USED
from intake.flow.papers.options import PaperOptions, Suggestion, missing, with_typed
from intake.flow.papers.paper import Paper, PaperFormat, PaperGroup
from intake.flow.papers.registry import PAPERS, find_paper
from intake.flow.papers.render import RenderedPaper, record_as_shown
from intake.flow.papers.suggestions import suggestions
from intake.units.counts import counted

PDF_POLICY = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'self'"
"""For the browser's own viewer, which brings a style with it."""
MEDIA_TYPES = {
    PaperFormat.PDF: "application/pdf",
    PaperFormat.XLSX: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    PaperFormat.CSV: "text/csv; charset=utf-8",
    PaperFormat.SVG: "image/svg+xml",
    PaperFormat.ZIP: "application/zip",
}


def show_papers(request: Request) -> Response:
    """Let a person choose a paper and its options, and show it."""
    name = text_of(request.query_params.get("paper", ""))
    groups = [(group.value, [paper for paper in PAPERS if paper.group is group]) for group in PaperGroup]
    if not name:
        return page(request, "papers.html", groups=groups, paper=None)
    paper = find_paper(name)
    usual = usual_options(desk_of(request).library, paper)
    with desk_of(request).library.reading() as records:
        offered = suggestions(records, [option.suggests for option in paper.options if option.suggests])
    texts = _only_ones(paper, offered) | texts_of(request, paper)
    offered[Suggestion.TEMPLATES] = template_names()
    options = with_typed(usual, paper.options, texts)
    to_fill = [option.label for option in missing(paper.options, options)]
    is_complete = not to_fill
    asks_first = is_complete and lists_values(paper.name, texts) and not session_of(request).host
    parts = _parts(request, paper, options)
    made, trouble = _made(request, paper, options, parts) if is_complete and not asks_first else (None, None)
    return page(
        request,
        "papers.html",
        groups=groups,
        paper=paper,
        fields=[(option, _shown(option.name, texts, usual)) for option in paper.options],
        offered=offered,
        stock=_stock(paper, options),
        used=options.used,
        is_complete=is_complete,
        to_fill=to_fill,
        formats=[form for form in paper.formats if form is not PaperFormat.SVG or _is_one_page(made, parts)],
        parts=parts,
        asks_first=asks_first,
        notices=made.notices if made is not None else (),
        trouble=trouble,
        record=made.to_record if made is not None else None,
        query=urlencode(texts),
    )


def show_paper(request: Request) -> Response:
    """Return a paper as a file: to be shown by the browser if it is a PDF or a drawing, else to be saved."""
    suffix = text_of(request.path_params["suffix"])
    try:
        paper = find_paper(text_of(request.path_params["paper"]))
        form = next(form for form in paper.formats if form == suffix)
    except (UsageError, StopIteration):
        return refusal(request, 404, "This paper", "is not one that can be printed", "choose one of the list")
    # A template may also be a file of the person's own, but never one that a request names.
    if texts_of(request, paper).get(TEMPLATE.name, "") not in ("", *template_names()):
        return refusal(request, 404, "This template", "is not one that comes with the tool", "choose one of the list")
    desk = desk_of(request)
    rendered = desk.papers.make(desk.library, paper, options_of(request, paper), form)
    shown = form in (PaperFormat.PDF, PaperFormat.SVG)
    headers = {"Content-Disposition": f'{"inline" if shown else "attachment"}; filename="{paper.name}.{form}"'}
    if form is PaperFormat.PDF:
        headers["Content-Security-Policy"] = PDF_POLICY
    return Response(rendered.data, media_type=MEDIA_TYPES[form], headers=headers)


def note_printed(request: Request) -> Response:
    """Remember that labels were printed as the page showed them."""
    paper = find_paper(text_of(request.path_params["paper"]))
    count = record_as_shown(
        desk_of(request).library,
        paper,
        options_of(request, paper),
        fields_of(request).get("mark", ""),
        on=desk_startup.today(),
        station=session_of(request).station,
    )
    message = f"{counted(count, 'label is', 'labels are')} remembered as printed."
    return back_to(f"/papers?{urlencode({'paper': paper.name, **texts_of(request, paper)})}", message)


def _only_ones(paper: Paper[Any], offered: Mapping[Suggestion, Sequence[str]]) -> dict[str, str]:
    """Return what need not be chosen, by option: things that the paper needs and of which the library has only one."""
    needed = ((option.name, option.suggests) for option in paper.options if option.required)
    things = {name: offered.get(kind, ()) for name, kind in needed if kind is not None}
    return {name: known[0] for name, known in things.items() if len(known) == 1}


def _is_one_page(made: RenderedPaper | None, parts: "_Parts | None") -> bool:
    """Return whether what is chosen is one drawing, which is all that a file of some kinds holds."""
    return parts is None and (made is None or made.report.pages == 1)


def _stock(paper: Paper[Any], options: PaperOptions) -> LabelStock | None:
    """Return the sheet of labels that a form draws; None where the paper is not set on labels, or on a roll of them."""
    if USED not in paper.options or options.template not in template_names():
        return None
    stock = label_stock(options.template)
    return stock if stock.columns * stock.rows > 1 else None


@dataclass(frozen=True, slots=True)
class _Parts:
    """The part of a paper that is shown, of how many, and those beside it."""

    option: str
    shown: str
    nth: int
    count: int
    before: str
    after: str


def _parts(request: Request, paper: Paper[Any], options: PaperOptions) -> _Parts | None:
    """Return which part of a paper is shown where it has many and none was chosen; None where it is shown whole."""
    if not paper.parts or getattr(options, paper.parts):
        return None
    parts = parts_of(desk_of(request), paper)
    if len(parts) < 2:
        return None
    asked = text_of(request.query_params.get("part", ""))
    nth = parts.index(asked) if asked in parts else 0
    after = parts[nth + 1] if nth + 1 < len(parts) else ""
    return _Parts(paper.parts, parts[nth], nth + 1, len(parts), parts[nth - 1] if nth else "", after)


def _made(
    request: Request, paper: Paper[Any], options: PaperOptions, parts: _Parts | None
) -> tuple[RenderedPaper | None, IntakeError | None]:
    """Return the paper, or the part of it, that the page shows in its frame; or why there is nothing to show."""
    desk = desk_of(request)
    # The option takes several.
    shown = replace(options, **{parts.option: (parts.shown,)}) if parts else options  # type: ignore[arg-type]
    try:
        return desk.papers.make(desk.library, paper, shown, paper.formats[0]), None
    except IntakeError as error:
        return None, error


def _shown(name: str, texts: Mapping[str, str], defaults: PaperOptions) -> str:
    """Return what a field shows: what was typed, else the default."""
    default = getattr(defaults, name)
    return texts.get(name, "") or ("" if default in (None, (), False) else str(default))
