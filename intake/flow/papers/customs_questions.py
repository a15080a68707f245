"""What a customs list asks: about a piece on its own line, and about all of them before the list is signed."""

from collections.abc import Callable, Iterable, Sequence

from intake.flow.papers import customs_words
from intake.flow.papers.consignment_content import ConsignmentContent, implausible, names_of, weighed_in
from intake.flow.papers.schedule_lines import ScheduledCopy
from intake.units.advice import Advice, worded
from intake.units.language import say, term
from intake.valuing.customs import AntiqueQuestion, antique_question, tariff_heading
from intake.weighing.plausible import contradicts, stated_g, stated_mass_g

ON_NO_LIST = term("found in its box, on no packing list")
MISSING = term("not found since the move")
LATE = term("not arrived with the others")

_ABOUT_PIECES: tuple[tuple[Callable[[ConsignmentContent, ScheduledCopy], bool], str | Advice], ...] = (
    (
        lambda _, one: not one.valued.edition.printed_in,
        (
            term(
                "Country of printing not known: {copies}. Write it into the column 'printed_in' of your catalog and "
                "import it again with 'intake import editions'."
            ),
            term(
                "Country of printing not known: {copies}. Write it into the column 'printed_in' of your catalog and "
                "bring that list again."
            ),
        ),
    ),
    (
        lambda content, one: content.printed(one)[0] is None and not one.valued.edition.hs_heading,
        term(
            "Year of printing not known, so that the age is not judged: {copies}. A book over 100 years old may be an "
            "antique under 9706."
        ),
    ),
    (
        lambda _, one: one.line.amount is None and not one.line.in_set,
        (
            term("No value recorded: {copies}. Record one with 'intake value copy'."),
            term("No value recorded: {copies}. Record one on the page of the copy."),
        ),
    ),
    (
        lambda _, one: contradicts(one.valued.edition),
        term(
            "Mass and size contradict each other, so that neither net nor gross mass is stated: {copies}. Weigh and "
            "measure each, and correct your catalog."
        ),
    ),
    (
        lambda _, one: stated_mass_g(one.valued.edition) is None and not contradicts(one.valued.edition),
        term("Mass not known: {copies}. Weigh each, and write it into the column 'mass_g' of your catalog."),
    ),
    (
        lambda _, one: one.valued.lost,
        term("On the list, but not found since the move: {copies}. Do not declare as arrived what did not arrive."),
    ),
    (
        lambda _, one: one.valued.awaited,
        term(
            "On the list, but in a box that has not arrived with the others: {copies}. Do not declare as arrived what "
            "did not arrive."
        ),
    ),
    (
        lambda content, one: one.line.number in content.surplus,
        term(
            "Found in these boxes, on no packing list: {copies}. On this list nevertheless; it may be on none of the "
            "carrier's papers."
        ),
    ),
)
"""Of which pieces something may be to ask, and what, with what to do about it."""


def antique_of(content: ConsignmentContent, one: ScheduledCopy) -> AntiqueQuestion | None:
    """Return what is to be asked of the age of a piece, if anything."""
    return antique_question(one.valued.edition, content.printed(one)[0], content.on)


def questions_of(content: ConsignmentContent, one: ScheduledCopy) -> Iterable[str]:
    """Yield what is to be decided about one piece."""
    heading = tariff_heading(one.valued.edition)
    if heading.question is not None:
        yield say(customs_words.QUESTIONS[heading.question])
    antique = antique_of(content, one)
    if antique is not None:
        yield customs_words.antique_words(antique, of_printing=content.printed(one)[1])
    if one.line.number in content.surplus:
        yield say(ON_NO_LIST)
    if one.valued.lost:
        yield say(MISSING)
    if one.valued.awaited:
        yield say("its box has not arrived")


def asked_before_signing(content: ConsignmentContent) -> Iterable[str]:
    """Yield what has to be answered before the list is signed: rates, countries, values, masses, what is missing."""
    yield from content.rates_missing
    for applies, ask in _ABOUT_PIECES:
        numbers = [one.line.number for one in content.listed if applies(content, one)]
        if numbers:
            yield say(worded(ask), copies=names_of(numbers))
    yield from unweighed_boxes(content)
    yield from doubtful_boxes(content)
    yield from _decisions(content)


_TO_WEIGH = (
    term("Not weighed: {boxes}. Use 'intake weigh BOX MASS'."),
    term("Not weighed: {boxes}. Weigh them."),
)


def unweighed_boxes(content: ConsignmentContent) -> Iterable[str]:
    """Yield what to do about each box that was never weighed."""
    numbers: Sequence[str] = [box.number for box, _ in content.boxes if box.carried_g is None]
    if numbers:
        yield say(worded(_TO_WEIGH), boxes=names_of(numbers))


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
        decided = term("Heading to be decided: {copies}. The question stands on the line of each.")
        yield say(decided, copies=names_of(numbers))
