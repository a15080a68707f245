"""The packing plan as a paper: which copy lies in which box, pile and layer, and how good the plan is."""

import itertools
from collections.abc import Sequence
from datetime import date

from intake.documents import packing_plans
from intake.edges import fonts
from intake.flow.moving.lift import BoxLift, caution_words, stated_words
from intake.flow.moving.masses import doubt_words
from intake.flow.moving.plan_packing import AT_HAND, BOOK_BOX, PLANNING, STANDING, Planned, parts_of_time, plan_copies
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.model.moving_papers import PlannedBox, PlannedCopy, PlanPaper
from intake.model.packing import PackingRules
from intake.packing.packing_plan import BoxFlaw, FilledBox
from intake.units.convert import kg_text, kilograms
from intake.units.counts import counted
from intake.units.language import say, say_of, term
from intake.units.local_forms import figures

TABLE_HEADER = (
    term("Box"), term("Kind"), term("Room"), term("Pile"), term("Layer"), term("Copy"), term("Title"), term("Mass, kg"),
)  # fmt: skip
PLAN_HEADS = ("Box", "Kind", "Room", "Copies", "About", "Lifting", "Piles")


def gather_packing_plan(source: PaperSource, options: PaperOptions) -> PlanPaper:
    """Plan the copies at hand into boxes, in the time given."""
    before = parts_of_time(options.seconds)
    planned = plan_copies(
        source.reader,
        (),
        states=STANDING if options.shelved else AT_HAND,
        rules=PackingRules(together=not options.split_sets),
        going=before(PLANNING),
        in_time=before(1.0),
    )
    return plan_paper(planned, source.on)


def plan_paper(planned: Planned, on: date) -> PlanPaper:
    """Return what the paper says of a plan that is made already."""
    return PlanPaper(
        on=on,
        remarks=tuple(plan_remarks(planned)),
        boxes=tuple(
            _planned_box(name, box, planned)
            for name, box in zip(box_names(planned.plan.boxes), planned.plan.boxes, strict=True)
        ),
        left=tuple((left.item.key, planned.titles[left.item.key], say(left.why.value)) for left in planned.plan.left),
    )


def plan_remarks(planned: Planned) -> Sequence[str]:
    """Return how good a plan is and what it rests on, in sentences."""
    packing_plan = planned.plan
    if not (packing_plan.boxes or packing_plan.left or planned.left_out):
        return [say("No copy is waiting to be packed.")]
    if not packing_plan.boxes:
        why = say("For no copy was a place in a box found.")
        return [why, *([_left_out_words(planned.left_out)] if planned.left_out else [])]
    copies = sum(len(box.items) for box in packing_plan.boxes)
    boxes_for = say(
        "{boxes} for {copies}; by mass, volume, rooms and whole sets no plan for these needs fewer than {least} (gap "
        "{gap} %). The first plan had {first}.",
        boxes=counted(len(packing_plan.boxes), "box", "boxes"),
        copies=counted(copies, "copy", "copies"),
        least=packing_plan.bound,
        gap=figures(100 * packing_plan.gap, 1),
        first=packing_plan.first,
    )
    named = zip(box_names(packing_plan.boxes), packing_plan.boxes, strict=True)
    flawed = [(name, flaw) for name, box in named for flaw in box.flaws]
    remarks = [boxes_for, *(f"{name}: {say(flaw.value)}." for name, flaw in flawed)]
    if planned.left_out:
        remarks.append(_left_out_words(planned.left_out))
    for key, boxes in packing_plan.torn.items():
        title, count = planned.set_titles.get(key, key), counted(boxes, "box", "boxes")
        remarks.append(say("The set {title} lies in {boxes}.", title=title, boxes=count))
    remarks.append(planned.masses.words())
    if planned.guessed:
        remarks.append(_guessed_words(planned.guessed))
    if planned.doubted:
        remarks.append(doubt_words([f"{key} {planned.titles[key]}" for key in planned.doubted]))
    if any(map(lifting_words, packing_plan.boxes)):
        remarks.append(f"{say('All masses of boxes are estimates.')} {stated_words()}")
    return remarks


def _left_out_words(count: int) -> str:
    return say_of(
        count,
        "{count} copy was not planned before the time was up; give it more.",
        "{count} copies were not planned before the time was up; give it more.",
    )


def _guessed_words(count: int) -> str:
    return say_of(
        count,
        "Of {count} copy too little is known to compute a mass: weigh their boxes.",
        "Of {count} copies too little is known to compute a mass: weigh their boxes.",
    )


def box_names(boxes: Sequence[FilledBox]) -> list[str]:
    """Return what the boxes of a plan are called: an open one by its number, the new ones counted by themselves."""
    new = itertools.count(1)
    return [
        say("Box {number}", number=box.number) if box.number else say("New box {number}", number=next(new))
        for box in boxes
    ]


def planned_facts(box: FilledBox) -> tuple[str, ...]:
    """Return what a plan says of a box, by `PLAN_HEADS` after its name."""
    copies, about = str(len(box.items)), kg_text(box.mass_g)
    return _kind_words(box), box.room, copies, about, lifting_words(box), piles_words(box)


def piles_words(box: FilledBox) -> str:
    """Return the number of piles in a box, or that none were found."""
    if BoxFlaw.NO_PILES in box.flaws:
        return say("none found")
    return str(max((place.pile for place in box.placed), default=0))


def lifting_words(box: FilledBox) -> str:
    """Return what a planned box asks of whoever lifts it, by its estimated mass; empty where nothing needs saying."""
    return caution_words(BoxLift(box.mass_g, weighed=False))


def lay_out_packing_plan(paper: PlanPaper, options: PaperOptions) -> PaperPages:
    """Set a packing plan on pages."""
    pages = packing_plans.lay_out(paper, measure=fonts.measure, paper_mm=options.paper_mm)
    return PaperPages(title=say("Packing plan"), pages=pages)


def tabulate_packing_plan(paper: PlanPaper, _options: PaperOptions) -> PaperTable:
    """Set a packing plan in a table, a row for each copy; layer 1 is the bottom of its pile."""
    return PaperTable(
        title=say("Packing plan"),
        header=TABLE_HEADER,
        rows=[
            (box.name, box.kind, box.room, copy.pile, copy.layer, copy.number, copy.title, kilograms(copy.mass_g))
            for box in paper.boxes
            for copy in box.copies
        ],
    )


def _kind_words(box: FilledBox) -> str:
    """Return the name of the kind of a box; only the usual one's is the program's own."""
    return say(box.kind.name) if box.kind.name == BOOK_BOX.name else box.kind.name


def _planned_box(name: str, box: FilledBox, planned: Planned) -> PlannedBox:
    masses = {item.key: item.mass_g for item in box.items}
    places: list[tuple[str, int | None, int | None]] = [(at.key, at.pile, at.layer) for at in box.placed]
    if BoxFlaw.NO_PILES in box.flaws:
        places = [(key, None, None) for key in masses]
    return PlannedBox(
        name=name,
        kind=_kind_words(box),
        room=box.room,
        mass_g=box.mass_g,
        copies=tuple(
            PlannedCopy(number=key, title=planned.titles[key], pile=pile, layer=layer, mass_g=masses[key])
            for key, pile, layer in places
        ),
        caution=lifting_words(box),
    )  # fmt: skip
