"""What a consignment comes to, in sentences: value, net mass and gross mass, each with what it leaves out."""

from collections.abc import Iterable, Sequence

from intake.flow.moving.mass_changes import changed_masses
from intake.flow.papers.consignment_content import ConsignmentContent, names_of
from intake.flow.papers.schedule_lines import ScheduledCopy
from intake.units.convert import exact_kg_text
from intake.units.counts import counted
from intake.units.language import say, term, terms
from intake.units.local_forms import order_of
from intake.weighing.plausible import stated_mass_g


def closing_total(content: ConsignmentContent) -> list[str]:
    """Return the closing total of a consignment in sentences, each with what it leaves out; what is lost is apart."""
    boxes = counted(len(content.boxes), "box", "boxes")
    net = [say("Net mass {mass}", mass=_net_words(content.found))]
    if content.lost:
        net.append(say("of what was not found since the move: {mass}", mass=_net_words(content.lost)))
    if content.awaited:
        net.append(say("of boxes that have not arrived: {mass}", mass=_net_words(content.awaited)))
    return [
        f"{boxes}, {counted(len(content.listed), 'piece', 'pieces')}",
        *value_sentences(content, *terms("piece", "pieces")),
        "; ".join(net),
        gross_sentence(content),
    ]


def value_sentences(content: ConsignmentContent, one: str, many: str) -> list[str]:
    """Return what the copies are worth, and by themselves those that were not found since the move.

    Args:
        content: of the paper.
        one: what it calls a copy.
        many: and several.
    """
    found, lost, awaited = content.found, content.lost, content.awaited
    if not lost and not awaited:
        return [say("Value {sum}", sum=content.worth(found))]
    copies = counted(len(found), one, many)
    sentences = [say("Value of {copies} {sum}", copies=copies, sum=content.worth(found))]
    if lost:
        sentences.append(
            say(
                "Apart from these {copies} not found since the move: {names}; value {sum}",
                copies=counted(len(lost), one, many),
                names=names_of([copy.line.number for copy in lost]),
                sum=content.worth(lost, lost=True),
            )
        )
    if awaited:
        sentences.append(
            say(
                "Apart from these {copies} of {boxes}, not arrived with the others: {names}; value {sum}",
                copies=counted(len(awaited), one, many),
                boxes=names_of(sorted({copy.valued.copy.box or "" for copy in awaited}, key=order_of)),
                names=names_of([copy.line.number for copy in awaited]),
                sum=content.worth(awaited),
            )
        )
    return sentences


def gross_sentence(content: ConsignmentContent) -> str:
    """Return the gross mass of all boxes that were weighed, and the names of the others."""
    masses = [(box, box.carried_g) for box, _ in content.boxes]
    weighed = [mass for _, mass in masses if mass is not None]
    without = [box.number for box, mass in masses if mass is None]
    arrival = [box.number for box, mass in masses if mass is not None and box.gross_g is None]
    words = [say("Gross mass {mass}", mass=exact_kg_text(sum(weighed))) if weighed else say("Gross mass not known")]
    if without and weighed:
        words = [say("{gross}, without {boxes}, not weighed", gross=words[0], boxes=names_of(without))]
    if arrival:
        words.append(say("{boxes} weighed on arrival", boxes=names_of(arrival)))
    changed = changed_masses(box for box, _ in content.boxes)
    now = [f"{box.number} {exact_kg_text(box.arrived_g or 0)}" for box, _ in content.boxes if box.number in changed]
    if now:
        words.append(say("counted as at packing, but weighed on arrival: {boxes}", boxes=names_of(now)))
    words += _weighed_with_lost(content)
    late = {copy.valued.copy.box for copy in content.awaited}
    apart = sum(mass for box, mass in masses if box.number in late and mass is not None)
    if apart:
        words.append(say("of it {mass} of boxes that have not arrived", mass=exact_kg_text(apart)))
    return "; ".join(words)


def _weighed_with_lost(content: ConsignmentContent) -> list[str]:
    """Return of which boxes the gross mass is that at packing, so that it has in it what was not found since."""
    boxes = [box.number for box, copies in content.boxes if box.gross_g is not None and some_lost(copies)]
    words = term("that of {boxes} is the one at packing, with what was not found since the move")
    return [say(words, boxes=names_of(boxes))] if boxes else []


def some_lost(copies: Iterable[ScheduledCopy]) -> bool:
    """Return whether some of these copies were not found since the move."""
    return any(one.valued.lost for one in copies)


def _net_words(copies: Sequence[ScheduledCopy]) -> str:
    masses = {one.line.number: stated_mass_g(one.valued.edition) for one in copies}
    known = [mass for mass in masses.values() if mass is not None]
    unknown = [number for number, mass in masses.items() if mass is None]
    if not known:
        return say("not known")
    mass = exact_kg_text(sum(known))
    return say("{mass}, without {copies}, of unknown mass", mass=mass, copies=names_of(unknown)) if unknown else mass
