"""Laying out labels: contents by key, set into the fields of a template, sheet after sheet.

Text never leaves its field: it shrinks, wraps and is finally cut with an ellipsis, at its beginning where its end tells
labels apart; a number is never cut. The contents are not checked. A copy flag is a slip to be inserted in a copy, and
states this; no label is to be stuck on a book itself.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from string import Formatter

from intake.documents import disclaimers, symbol_drawing
from intake.documents.distinct_texts import fit_distinct
from intake.documents.grid import Slot, slots
from intake.documents.symbol_drawing import DIGIT_EM
from intake.documents.text_fit import Fitted, Measure, Setter
from intake.documents.text_lines import Cell, set_lines
from intake.errors import UsageError
from intake.model.label_rules import KEPT_AT_END, NEVER_CUT
from intake.model.pages import ContentOf, ElementKind, Mark, Page, RuledLine, StructureElement
from intake.model.papers import Anchor, LabelContent, LabelField, LabelTemplate, LabelUse
from intake.units.convert import pt_to_mm
from intake.units.language import say

HAIRLINE_PT = 0.5
GUIDE_PT = 0.25


def lay_out(
    template: LabelTemplate,
    contents: Iterable[LabelContent],
    *,
    start: int = 1,
    used: Collection[int] = (),
    measure: Measure,
) -> list[Page]:
    """Lay out one label for each content.

    Args:
        template: geometry and fields.
        contents: see `intake.model.papers.CONTENT_KEYS`; missing or empty keys leave fields blank.
        start: first label of the first sheet to use, from 1.
        used: labels that are gone from the first sheet.
        measure: (text, size_pt, bold) -> width in mm.

    Returns:
        The sheets (for a roll, one page per label); none if there is no content.

    Raises:
        UsageError: the sheet has no label `start`, or none that is not used; a symbol or a number does not fit its
            field; or two labels would read the same.
    """
    template = _in_language(template)
    contents = [_known(template, content) for content in contents]
    setter = _LabelSetter(template, contents, Setter(measure))
    sheets: dict[int, list[Mark]] = defaultdict(list)
    ends: dict[int, float] = {}
    for content, slot in zip(contents, slots(template, start, used), strict=False):
        marks, used_mm = _label(template, content, slot, setter)
        sheets[slot.sheet] += marks
        ends[slot.sheet] = used_mm
    return [_page(template, sheets[sheet], ends[sheet]) for sheet in sorted(sheets)]


def figure_mm(template: LabelTemplate, content: LabelContent, key: str, *, measure: Measure) -> float | None:
    """Return how high figures are where a label shows one of its contents largest; None where it does not.

    Args:
        template: geometry and fields.
        content: what the label says.
        key: one of `intake.model.papers.CONTENT_KEYS`; a box's number counts where only its short one is large.
        measure: (text, size_pt, bold) -> width in mm.
    """
    template = _in_language(template)
    content = _known(template, content)
    keys = {"number", "box"} if key == "number" else {key}
    setter = _LabelSetter(template, [content], Setter(measure))
    sizes = [
        setter.fit(field, text).size_pt
        for field in template.fields
        if field.symbol is None and _keys(field) & keys and (text := _fill_in(field.text, content))
    ]
    return max((pt_to_mm(size) * DIGIT_EM for size in sizes), default=None)


def _in_language(template: LabelTemplate) -> LabelTemplate:
    """Return a template whose fields have their own words, such as "Box", in the language of the paper."""
    fields = (replace(field, text=say(field.text)) if _has_words(field) else field for field in template.fields)
    return replace(template, fields=tuple(fields))


def _has_words(field: LabelField) -> bool:
    return any(letter.isalpha() for words, *_ in Formatter().parse(field.text) for letter in words)


def _known(template: LabelTemplate, content: LabelContent) -> LabelContent:
    known = defaultdict(str, content)
    if template.use is LabelUse.FLAG:
        known["caution"] = known["caution"] or say(disclaimers.INSERT)
    return known


class _LabelSetter:
    """Fits the texts of fields, with regard to the other labels of the run where a field tells them apart."""

    def __init__(self, template: LabelTemplate, contents: Sequence[LabelContent], setter: Setter) -> None:
        self.template = template
        self.setter = setter
        self.distinct: dict[LabelField, Mapping[str, Fitted]] = {}
        for field in template.fields:
            if field.symbol is None and not _keys(field).isdisjoint(KEPT_AT_END):
                texts = dict.fromkeys(filter(None, (_fill_in(field.text, content) for content in contents)))
                self.distinct[field] = fit_distinct(tuple(texts), field, setter)

    def fit(self, field: LabelField, text: str) -> Fitted:
        if field in self.distinct:
            return self.distinct[field][text]
        fitted = self.setter.fit(text, field.width_mm, field.height_mm, field.size_pt, bold=field.bold)
        if fitted.cut and not _keys(field).isdisjoint(NEVER_CUT):
            raise UsageError(
                f"The label of {text}",
                f"has no room for it on {self.template.name}, and a number that was cut would be another one",
                "use a template with larger labels",
            )
        return fitted


def _keys(field: LabelField) -> set[str]:
    return {key for _, key, _, _ in Formatter().parse(field.text) if key}


def _page(template: LabelTemplate, marks: list[Mark], used_mm: float) -> Page:
    height = template.paper_height_mm
    if template.continuous:
        margin = min((field.y_mm for field in template.fields), default=0.0)
        height = min(height, template.top_mm + used_mm + margin)
    guides = _guides(template) if template.guides else ()
    return Page(template.paper_width_mm, height, (*guides, *marks))


def _guides(template: LabelTemplate) -> tuple[RuledLine, ...]:
    """Return the lines along which plain paper is cut, one between adjacent labels."""
    width, height = template.paper_width_mm, template.paper_height_mm
    across = [template.left_mm + n * template.pitch_x_mm for n in range(template.columns + 1)]
    down = [template.top_mm + n * template.pitch_y_mm for n in range(template.rows + 1)]
    upright = tuple(RuledLine(x, 0.0, x, height, GUIDE_PT) for x in across if 0.5 < x < width - 0.5)
    return upright + tuple(RuledLine(0.0, y, width, y, GUIDE_PT) for y in down if 0.5 < y < height - 0.5)


def _label(template: LabelTemplate, content: LabelContent, at: Slot, setter: _LabelSetter) -> tuple[list[Mark], float]:
    """Return the marks of one label, and the height of it that is used, in mm."""
    marks: list[Mark] = [ContentOf(StructureElement(ElementKind.PARAGRAPH))]
    used = 0.0
    for field in template.fields:
        text = _fill_in(field.text, content)
        if text:
            marks += _field(field, text, at, setter)
            used = max(used, field.y_mm + field.height_mm)
    for rule in template.rules:
        x, y = at.x_mm + rule.x_mm, at.y_mm + rule.y_mm
        marks.append(RuledLine(x, y, x + rule.width_mm, y + rule.height_mm, HAIRLINE_PT))
    return marks, used


def _fill_in(text: str, content: LabelContent) -> str:
    """Fill the contents into the text of a field; empty if one of them is missing.

    >>> _fill_in("Room {room}", {"room": ""})
    ''
    """
    parts = []
    for words, key, _, _ in Formatter().parse(text):
        if key is not None and not content[key].strip():
            return ""
        parts += [words, content[key] if key is not None else ""]
    return "".join(parts)


def _field(field: LabelField, text: str, at: Slot, setter: _LabelSetter) -> tuple[Mark, ...]:
    x_mm, y_mm = at.x_mm + field.x_mm, at.y_mm + field.y_mm
    if field.symbol is not None:
        box = symbol_drawing.SymbolFrame(x_mm, y_mm, field.width_mm, field.height_mm)
        return symbol_drawing.draw(field.symbol, text, box, field.module_mm, field.align)
    fitted = setter.fit(field, text)
    spare = field.height_mm - fitted.height_mm
    y_mm += {Anchor.TOP: 0.0, Anchor.MIDDLE: spare / 2, Anchor.BOTTOM: spare}[field.anchor]
    cell = Cell(fitted.lines, (x_mm, field.width_mm), field.bold, field.align)
    return tuple(set_lines(cell, fitted.size_pt, y_mm))
