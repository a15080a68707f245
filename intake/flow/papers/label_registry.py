"""The papers that are labels, as the registry offers them."""

from typing import Any

from intake.flow.papers import box_label_sizes, box_papers, face_papers, label_papers
from intake.flow.papers import option_fields as fields
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper, PaperGroup

STOCK = (fields.ONLY_CHANGED, fields.TEMPLATE, fields.START, fields.USED, fields.LANGUAGE)

SHELF_LABELS = Paper(
    name="shelf-labels",
    title="Shelf labels",
    summary="One for each shelf, to be stuck to its edge.",
    group=PaperGroup.LABELS,
    options=(fields.SHELVES, *STOCK),
    defaults=PaperOptions(template="a4-3x8"),
    gather=label_papers.gather_shelf_labels,
    lay_out=label_papers.lay_out_labels,
    to_record=label_papers.labels_to_record,
)
COPY_FLAGS = Paper(
    name="copy-flags",
    title="Copy flags",
    summary="A slip for each copy, to be inserted and never stuck on.",
    group=PaperGroup.LABELS,
    options=(fields.STANDING_COPIES, *STOCK),
    defaults=PaperOptions(template="a4-4x2"),
    gather=label_papers.gather_copy_flags,
    lay_out=label_papers.lay_out_labels,
    to_record=label_papers.labels_to_record,
)
SPINE_LABELS = Paper(
    name="spine-labels",
    title="Spine labels",
    summary="Narrow labels for loose jacket covers and slipcases, never for a book or its own jacket.",
    group=PaperGroup.LABELS,
    options=(fields.STANDING_COPIES, fields.SPINE_TEXT, *STOCK),
    defaults=PaperOptions(template="a4-12x8"),
    gather=label_papers.gather_spine_labels,
    lay_out=label_papers.lay_out_labels,
    to_record=label_papers.labels_to_record,
)
BOX_LABELS = Paper(
    name="box-labels",
    title="Box labels",
    summary="One for each box.",
    group=PaperGroup.LABELS,
    options=(fields.BOXES, fields.TEMPLATE, fields.START, fields.USED, fields.LANGUAGE),
    defaults=PaperOptions(template="a4-2x4"),
    gather=box_papers.gather_box_labels,
    lay_out=box_label_sizes.lay_out_box_labels,
)
FACE_LABELS = Paper(
    name="face-labels",
    title="Box labels, four faces",
    summary="One sheet for each box, with a label for each of its four sides.",
    group=PaperGroup.LABELS,
    options=(fields.BOXES, fields.DESK_ADDRESS, fields.STACKING, fields.LANGUAGE, fields.SIZE),
    gather=face_papers.gather_face_labels,
    lay_out=face_papers.lay_out_face_labels,
)
HANDLING_MARKS = Paper(
    name="handling-marks",
    title="Handling marks",
    summary="The marks for boxes of books, 100 mm high, to be cut out and stuck on cartons.",
    group=PaperGroup.LABELS,
    options=(fields.STACKING, fields.LANGUAGE, fields.SIZE),
    gather=face_papers.gather_handling_marks,
    lay_out=face_papers.lay_out_handling_marks,
)
LABEL_CHECK = Paper(
    name="label-check",
    title="Check of the printer",
    summary="Lines to measure with a ruler and the corners of the labels; to be printed before labels are.",
    group=PaperGroup.LABELS,
    options=(fields.TEMPLATE, fields.LANGUAGE),
    defaults=PaperOptions(template="a4-3x8"),
    gather=label_papers.gather_label_check,
    lay_out=label_papers.lay_out_label_check,
)
LABEL_PAPERS: tuple[Paper[Any], ...] = (
    SHELF_LABELS, COPY_FLAGS, SPINE_LABELS, BOX_LABELS, FACE_LABELS, HANDLING_MARKS, LABEL_CHECK,
)  # fmt: skip
