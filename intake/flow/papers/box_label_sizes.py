"""From how far the labels of boxes can be read: what is too small for 2 m is said beside the paper."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from intake.documents.labels import figure_mm
from intake.edges import fonts, templates
from intake.flow.papers.label_papers import LabelRun, lay_out_labels
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages
from intake.model.label_rules import VIEWED_FIGURE_MM
from intake.model.papers import LabelUse
from intake.units.advice import Advice, worded
from intake.units.language import say, term
from intake.units.local_forms import figures

READ_BY: Mapping[str, Advice] = {
    "number": (
        term(
            "The box number of {boxes} is not readable from 2 m: its figures are {height} mm high on {template}, for "
            "about {metres} m (2 m: {needed} mm). Use larger labels, such as a4-1x2 or letter-1x2, or "
            "'intake print face-labels'."
        ),
        term(
            "The box number of {boxes} is not readable from 2 m: its figures are {height} mm high on {template}, for "
            "about {metres} m (2 m: {needed} mm). Use larger labels, such as a4-1x2 or letter-1x2, or "
            "the paper 'Box labels, four faces'."
        ),
    ),
    "room": (
        term(
            "The room of {boxes} is not readable from 2 m: its figures are {height} mm high on {template}, for "
            "about {metres} m (2 m: {needed} mm). Use larger labels, such as a4-1x2 or letter-1x2, or "
            "'intake print face-labels'."
        ),
        term(
            "The room of {boxes} is not readable from 2 m: its figures are {height} mm high on {template}, for "
            "about {metres} m (2 m: {needed} mm). Use larger labels, such as a4-1x2 or letter-1x2, or "
            "the paper 'Box labels, four faces'."
        ),
    ),
}
PER_METRE_MM = VIEWED_FIGURE_MM / 2
"""Height of figures for each metre from which they are read."""


def lay_out_box_labels(run: LabelRun, options: PaperOptions) -> PaperPages:
    """Set labels of boxes on their stock, and tell which of what they show is not readable from 2 m.

    Raises:
        UsageError: the template has no fields for boxes.
        FileError: the template is a person's own file that cannot be read.
    """
    pages = lay_out_labels(run, options)
    return replace(pages, notices=(*pages.notices, *_notices(run, options)))


def _notices(run: LabelRun, options: PaperOptions) -> Iterator[str]:
    template = templates.read(options.template, LabelUse.BOX)
    for key, words in READ_BY.items():
        heights = {
            content["number"]: height
            for content in run.contents
            if (height := figure_mm(template, content, key, measure=fonts.measure)) is not None
        }
        small = {number: height for number, height in heights.items() if height < VIEWED_FIGURE_MM}
        if small:
            least = min(small.values())
            yield say(
                worded(words),
                boxes=", ".join(small),
                height=f"{least:.0f}",
                template=template.name,
                metres=figures(least / PER_METRE_MM, 1),
                needed=f"{VIEWED_FIGURE_MM:.0f}",
            )
