"""The papers: chosen, looked at as the real PDF, printed by the browser."""

from starlette.requests import Request
from starlette.responses import Response

from intake.desk import desk_startup
from intake.desk.rendering import id_of, page, refusal, text_of
from intake.desk.request_state import desk_of
from intake.edges import templates
from intake.edges.store.queries.boxes import list_boxes
from intake.flow.papers.previews import LABELS, SIZES, Paper, PaperChoice, preview
from intake.model.boxes import Consignment

WORDS = {
    Paper.SHELF_LABELS: ("Shelf labels", "one for each shelf, to be stuck to its edge"),
    Paper.COPY_FLAGS: ("Copy flags", "a slip for each shelved copy, laid in and never stuck on"),
    Paper.BOX_LABELS: ("Box labels", "one for each box"),
    Paper.PACKING_LISTS: ("Packing lists", "what is in each box"),
    Paper.MASTER_LIST: ("Master list", "all boxes of a consignment, without prices"),
    Paper.INVENTORY: ("Inventory", "every copy with its condition, place and value"),
}
PDF_POLICY = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'self'"
"""For the browser's own viewer, which brings a style with it."""


def show_papers(request: Request) -> Response:
    """Let a person choose a paper, and show it."""
    choice = _choice(request, text_of(request.query_params.get("paper", "")))
    with desk_of(request).library.reading() as records:
        boxes = list_boxes(records)
        consignments = records.all(Consignment)
    return page(
        request,
        "papers.html",
        words=WORDS,
        choice=choice,
        labels=LABELS,
        names=templates.names(),
        sizes=list(SIZES),
        boxes=boxes,
        consignments=consignments,
        query=request.url.query,
    )


def show_pdf(request: Request) -> Response:
    """Return a paper as a PDF file."""
    choice = _choice(request, text_of(request.path_params["paper"]))
    if choice is None:
        return refusal(request, 404, "This paper", "is not one that can be printed", "choose one of the list")
    # A template may also be a file of the person's own, but never one that a request names.
    if choice.template and choice.template not in templates.names():
        return refusal(request, 404, "This template", "is not one that comes with the tool", "choose one of the list")
    with desk_of(request).library.reading() as records:
        data, _ = preview(records, choice, on=desk_startup.today())
    headers = {"Content-Disposition": f'inline; filename="{choice.paper}.pdf"', "Content-Security-Policy": PDF_POLICY}
    return Response(data, media_type="application/pdf", headers=headers)


def _choice(request: Request, name: str) -> PaperChoice | None:
    paper = next((paper for paper in Paper if paper.value == name), None)
    if paper is None:
        return None
    asked = {key: text_of(value) for key, value in request.query_params.items()}
    return PaperChoice(
        paper=paper,
        template=asked.get("template", ""),
        start=id_of(asked.get("start", "")) or 1,
        box=asked.get("box", ""),
        size=asked.get("size", "a4"),
        reference=asked.get("reference", ""),
        owner=asked.get("owner", ""),
    )
