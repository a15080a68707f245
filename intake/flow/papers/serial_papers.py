"""Serials as rulers, with the editions that collect them as bars."""

from dataclasses import dataclass

from intake.documents import rulers
from intake.edges import fonts
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource
from intake.flow.runs.draw_serial import drawn_serial
from intake.flow.runs.named_serial import unread_words
from intake.flow.runs.serial_map import collected_parts, find_serial, serial_maps
from intake.model.pages import Page
from intake.model.rulers import DrawnSerial
from intake.units.language import say, term

NONE = term("No edition of the catalog states what it collects.")


@dataclass(frozen=True, slots=True)
class SerialDrawings:
    """The serials to draw; `notices` are what is left out."""

    serials: tuple[DrawnSerial, ...]
    notices: tuple[str, ...]


def gather_serials(source: PaperSource, options: PaperOptions) -> SerialDrawings:
    """Gather what is known of the serials that are named, or of all.

    Raises:
        RefusedError: there is no such serial.
    """
    collected = collected_parts(source.reader)
    keys = [find_serial(collected, text) for text in options.serials]
    maps = [one for one in serial_maps(source.reader, collected, keys or None) if one.order.size]
    told = (words for key in keys or [""] for words in unread_words(source.reader, collected, key))
    notices = tuple(dict.fromkeys(told))
    return SerialDrawings(tuple(map(drawn_serial, maps)) or (DrawnSerial(say("Serials"), say(NONE), ()),), notices)


def lay_out_serials(drawings: SerialDrawings, options: PaperOptions) -> PaperPages:
    """Draw each serial, beginning a page."""
    pages: list[Page] = []
    for drawn in drawings.serials:
        pages += rulers.lay_out(drawn, measure=fonts.measure, paper_mm=options.paper_mm)
    title = drawings.serials[0].title if len(drawings.serials) == 1 else say("Serials")
    return PaperPages(title=title, pages=pages, notices=drawings.notices)
