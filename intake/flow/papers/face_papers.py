"""Papers that are cut up and stuck on the sides of cartons: labels for four faces, and handling marks."""

from collections.abc import Sequence

from intake.documents import four_faces, handling_marks
from intake.edges import fonts
from intake.flow.papers.box_papers import box_label_contents
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource
from intake.model.moving_papers import FaceLabel, HandlingMark
from intake.units.advice import worded
from intake.units.language import say, term

BOOK_MARKS = (HandlingMark.THIS_WAY_UP, HandlingMark.KEEP_DRY, HandlingMark.NO_HOOKS)
"""Paper suffers from damp and hooks, and piles of books from being turned (common practice, no source)."""
SMALL_MARKS = (
    term(
        "The handling marks on these labels are smaller than the 100 mm of ISO 780 (size from memory), for which a "
        "quarter of a sheet has no room: 'intake print handling-marks' prints them in that size."
    ),
    term(
        "The handling marks on these labels are smaller than the 100 mm of ISO 780 (size from memory), for which a "
        "quarter of a sheet has no room: the paper 'Handling marks' has them in that size."
    ),
)


def gather_face_labels(source: PaperSource, options: PaperOptions) -> tuple[FaceLabel, ...]:
    """Gather what the labels on the four faces of each box say."""
    marks = _marks(options)
    address = options.desk_address.rstrip("/")
    return tuple(
        FaceLabel(
            number=content["number"],
            serial=content["box"],
            opens=f"{address}/boxes/{content['number']}" if address else content["number"],
            room=content["room"],
            consignment=content["consignment"],
            box_of=content["box_of"],
            mass=content["mass"],
            caution=content["caution"],
            marks=marks,
            stacking_g=options.stacking_g,
        )
        for content in box_label_contents(source.reader, options.boxes)
    )


def lay_out_face_labels(labels: Sequence[FaceLabel], options: PaperOptions) -> PaperPages:
    """Set four labels for each box on a sheet of its own."""
    pages = four_faces.lay_out(labels, measure=fonts.measure, paper_mm=options.paper_mm)
    notices = (say(worded(SMALL_MARKS)),) if labels else ()
    return PaperPages(title=say("Box labels, four faces"), pages=pages, notices=notices)


def gather_handling_marks(_source: PaperSource, options: PaperOptions) -> tuple[HandlingMark, ...]:
    """Choose the marks for boxes of books."""
    return _marks(options)


def lay_out_handling_marks(marks: Sequence[HandlingMark], options: PaperOptions) -> PaperPages:
    """Set the marks in the size of ISO 780, four on a sheet."""
    pages = handling_marks.lay_out_sheets(
        marks, measure=fonts.measure, paper_mm=options.paper_mm, stacking_g=options.stacking_g
    )
    return PaperPages(title=say("Handling marks"), pages=pages)


def _marks(options: PaperOptions) -> tuple[HandlingMark, ...]:
    return BOOK_MARKS if options.stacking_g is None else (*BOOK_MARKS, HandlingMark.STACKING_LIMIT)
