"""A collection as a book: an entry for each copy with its cover, and indexes at the end."""

from collections.abc import Iterator
from functools import partial

from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.rulers import HELD_GREY, across
from intake.documents.text_fit import Measure, from_left, line_mm
from intake.model.catalogues import CatalogueEntry, CollectionCatalogue, RulerStrip
from intake.model.pages import Mark, Page, PlacedPicture, Rectangle, Text
from intake.model.papers import A4_MM
from intake.units.language import say
from intake.units.local_forms import day_text

COVER_MM = (60.0, 46.0)
"""The greatest width and height of a cover."""
STRIP_MM = 2.4


def lay_out(catalogue: CollectionCatalogue, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the book.

    Args:
        catalogue: finished texts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    sheet = Sheet(Head(catalogue.title, day_text(catalogue.on)), measure, paper_mm)
    sheet.paragraph(catalogue.owner)
    sheet.paragraph(catalogue.left_out, size_pt=SMALL_PT)
    for heading, entries in catalogue.groups:
        sheet.heading(heading)
        for entry in entries:
            with sheet.together():
                _entry(sheet, entry)
    for heading, words in catalogue.indexes:
        if words:
            sheet.heading(heading)
            rows = ((word, ", ".join(map(str, numbers))) for word, numbers in words)
            sheet.table([TableColumn("", 3.0), TableColumn("Entries", 1.0)], rows)
    return sheet.finish()


def _entry(sheet: Sheet, entry: CatalogueEntry) -> None:
    sheet.paragraph(f"{from_left(f'{entry.number}.', beside=entry.title)} {entry.title}", bold=True)
    sheet.paragraph(entry.description)
    if entry.cover is not None:
        _cover(sheet, entry)
    sheet.facts(entry.facts)
    for strip in entry.strips:
        sheet.place(STRIP_MM + line_mm(SMALL_PT) + 1.5, partial(_strip, sheet, strip))
    sheet.paragraph(entry.why and say("Why it is kept: {why}", why=entry.why))
    sheet.gap()


def _cover(sheet: Sheet, entry: CatalogueEntry) -> None:
    """Set the cover, or say why it cannot be shown."""
    photograph = entry.cover
    if photograph is None or photograph.data is None:
        sheet.paragraph(
            say("Its picture is not printed: {why}", why=photograph.why if photograph else ""), size_pt=SMALL_PT
        )
        return
    scale = min(COVER_MM[0] / photograph.width_px, COVER_MM[1] / photograph.height_px)
    width, height = photograph.width_px * scale, photograph.height_px * scale
    data = photograph.data
    sheet.place(height + 2.0, lambda x, y: [PlacedPicture(x, y, width, height, data, entry.title)])


def _strip(sheet: Sheet, strip: RulerStrip, x: float, y: float) -> Iterator[Mark]:
    """Draw what is collected, filled, on the whole of the serial, outlined; the words stand beneath."""
    yield Rectangle(x, y, sheet.width_mm, STRIP_MM, 0.4, 1.0)
    for span in strip.spans:
        left, width = across(span, strip.size, x, sheet.width_mm)
        yield Rectangle(left, y, width, STRIP_MM, 0.4, HELD_GREY)
    words = sheet.setter.fit(strip.words, sheet.width_mm, line_mm(SMALL_PT), (4.0, SMALL_PT))
    baseline = y + STRIP_MM + line_mm(SMALL_PT) - 0.4
    yield from (Text(x, baseline, line, words.size_pt) for line in words.lines[:1])
