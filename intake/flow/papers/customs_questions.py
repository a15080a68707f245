"""What a customs list asks: about a piece on its own line, and about all of them before the list is signed."""

from collections.abc import Callable, Iterable, Sequence

from intake.flow.papers import customs_words
from intake.flow.papers.consignment_content import ConsignmentContent, implausible, names_of, weighed_in
from intake.flow.papers.schedule_lines import ScheduledCopy
from intake.flow.papers.valued_copies import NOT_ARRIVED
from intake.units.advice import Advice, advice, worded
from intake.valuing.customs import AntiqueQuestion, antique_question, tariff_heading
from intake.weighing.plausible import contradicts, stated_g, stated_mass_g

ON_NO_LIST = "found in its box, on no packing list"
MISSING = "not found since the move"
LATE = "not arrived with the others"

_ABOUT_PIECES: tuple[tuple[str, Callable[[ConsignmentContent, ScheduledCopy], bool], str | Advice], ...] = (
    (
        "Country of printing not known",
        lambda _, one: not one.valued.edition.printed_in,
        (
            "Write it into the column 'printed_in' of your catalog and import it again with 'intake import editions'.",
            "Write it into the column 'printed_in' of your catalog and bring that list again.",
        ),
    ),
    (
        "Year of printing not known, so that the age is not judged",
        lambda content, one: content.printed(one)[0] is None and not one.valued.edition.hs_heading,
        "A book over 100 years old may be an antique under 9706.",
    ),
    (
        "No value recorded",
        lambda _, one: one.line.amount is None and not one.line.in_set,
        ("Record one with 'intake value copy'.", "Record one on the page of the copy."),
    ),
    (
        "Mass and size contradict each other, so that neither net nor gross mass is stated",
        lambda _, one: contradicts(one.valued.edition),
        "Weigh and measure each, and correct your catalog.",
    ),
    (
        "Mass not known",
        lambda _, one: stated_mass_g(one.valued.edition) is None and not contradicts(one.valued.edition),
        "Weigh each, and write it into the column 'mass_g' of your catalog.",
    ),
    (
        f"On the list, but {MISSING}",
        lambda _, one: one.valued.lost,
        "Do not declare as arrived what did not arrive.",
    ),
    (
        "On the list, but in a box that has not arrived with the others",
        lambda _, one: one.valued.awaited,
        "Do not declare as arrived what did not arrive.",
    ),
    (
        "Found in these boxes, on no packing list",
        lambda content, one: one.line.number in content.surplus,
        "On this list nevertheless; it may be on none of the carrier's papers.",
    ),
)
"""What may be to ask of pieces, of which ones, and what to do about it."""


def antique_of(content: ConsignmentContent, one: ScheduledCopy) -> AntiqueQuestion | None:
    """Return what is to be asked of the age of a piece, if anything."""
    return antique_question(one.valued.edition, content.printed(one)[0], content.on)


def questions_of(content: ConsignmentContent, one: ScheduledCopy) -> Iterable[str]:
    """Yield what is to be decided about one piece."""
    heading = tariff_heading(one.valued.edition)
    if heading.question is not None:
        yield customs_words.QUESTIONS[heading.question]
    antique = antique_of(content, one)
    if antique is not None:
        yield customs_words.antique_words(antique, of_printing=content.printed(one)[1])
    if one.line.number in content.surplus:
        yield ON_NO_LIST
    if one.valued.lost:
        yield MISSING
    if one.valued.awaited:
        yield f"its box {NOT_ARRIVED}"


def asked_before_signing(content: ConsignmentContent) -> Iterable[str]:
    """Yield what has to be answered before the list is signed: rates, countries, values, masses, what is missing."""
    yield from content.rates_missing
    for what, applies, then in _ABOUT_PIECES:
        numbers = [one.line.number for one in content.listed if applies(content, one)]
        if numbers:
            yield f"{what}: {names_of(numbers)}. {worded(then)}"
    yield from unweighed_boxes(content)
    yield from doubtful_boxes(content)
    yield from _decisions(content)


def unweighed_boxes(content: ConsignmentContent) -> Iterable[str]:
    """Yield what to do about each box that was never weighed."""
    numbers: Sequence[str] = [box.number for box, _ in content.boxes if box.carried_g is None]
    if numbers:
        how = advice("Use 'intake weigh BOX MASS'", "Weigh them")
        yield f"Not weighed: {names_of(numbers)}. {how}."


def doubtful_boxes(content: ConsignmentContent) -> Iterable[str]:
    """Yield for each box that is recorded as lighter than what is in it what to do about it."""
    for box, copies in content.boxes:
        light = implausible(content, box, copies)
        pieces_g = stated_g(one.valued.edition for one in weighed_in(content, box, copies))
        if light is not None:
            yield customs_words.too_light_words(box.number, light)
        elif box.carried_g is not None and box.tare_g is not None and pieces_g + box.tare_g > box.carried_g:
            yield customs_words.beside_tare_words(box.number, box.carried_g, pieces_g, box.tare_g)


def _decisions(content: ConsignmentContent) -> Iterable[str]:
    """Yield which pieces have a question on their line that the customs office decides."""
    numbers = [
        one.line.number
        for one in content.listed
        if tariff_heading(one.valued.edition).question is not None or antique_of(content, one) is not None
    ]
    if numbers:
        yield f"Heading to be decided: {names_of(numbers)}. The question stands on the line of each."
