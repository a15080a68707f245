"""Shelves: bookcases made, the rule of order, room for a copy, everything arranged anew, loads, a shelf checked."""

from collections.abc import Mapping

from intake.desk.desk_startup import LibraryReader
from intake.desk.steps.shared_fields import COPY
from intake.desk.steps.step_record import (
    DeskStep,
    FieldKind,
    StepContext,
    StepField,
    StepGroup,
    StepOutcome,
    StepTable,
    fixed,
)
from intake.errors import UsageError
from intake.flow.lookup.handling_words import DAMP_ROOM
from intake.flow.lookup.resolve import find_copy, find_shelf, refuse_withdrawn
from intake.flow.pictures.read_shelf import read_labels
from intake.flow.shelves import arrange_shelves, check_shelf
from intake.flow.shelves.find_room import Room, find_room, put
from intake.flow.shelves.load_words import (
    ANCHOR,
    ENGINEER,
    SAG_BASIS,
    TOP_HEAVY,
    floor_cautions,
    floor_loads_words,
    floor_words,
    shelves_cautions,
)
from intake.flow.shelves.make_places import make_bookcase, parse_shelves, rule_of_order, set_order
from intake.flow.shelves.shelf_loads import CaseReport, weigh_shelves
from intake.model.editions import Edition
from intake.model.places import Place, PlaceKind
from intake.model.shelving import Key
from intake.units.convert import kg_text
from intake.units.counts import counted
from intake.units.quantities import parse_height_mm, parse_length_mm, parse_mass_g


def _bookcase(context: StepContext) -> StepOutcome:
    shelves = parse_shelves(context.needed("shelves", "The shelves"))
    board = Place(
        number="",
        kind=PlaceKind.SHELF,
        name="",
        subject=context.text("subject"),
        material=context.text("material"),
        board_mm=context.length_mm("board"),
        rated_g=context.mass_g("rated"),
    )
    case = Place(number="", kind=PlaceKind.BOOKCASE, name=context.text("bookcase"))
    made = make_bookcase(
        context.library,
        shelves,
        room=context.text("room"),
        bookcase=case,
        board=board,
        lowest_mm=context.height_mm("lowest"),
        station=context.station,
    )
    numbers = ",".join(shelf.number for shelf in made)
    return StepOutcome(
        lines=tuple(f"{shelf.number}: shelf {shelf.name}, {shelf.width_mm:g} mm wide" for shelf in made),
        cautions=(ANCHOR, DAMP_ROOM),
        links=(
            (f"/papers?paper=shelf-labels&shelves={numbers}#chosen", "Print their labels"),
            ("/shelves", "All shelves"),
        ),
    )


def _order_fields(records: LibraryReader, _values: Mapping[str, str]) -> tuple[StepField, ...]:
    rule = rule_of_order(records)
    return (
        StepField(
            name="keys",
            label="Books stand by",
            value=" ".join(rule.keys),
            required=True,
            hint=f"The most significant first, of: {', '.join(Key)}.",
        ),
        StepField(
            name="language",
            label="Language whose alphabet is followed",
            value=rule.language,
            hint="Such as en, de, sv.",
        ),
    )


def _order(context: StepContext) -> StepOutcome:
    rule = set_order(context.library, context.text("keys"), language=context.text("language"), station=context.station)
    return StepOutcome(lines=(f"Books stand by {', then '.join(rule.keys)}; alphabet: {rule.language}.",))


def _room(context: StepContext) -> StepOutcome:
    if not context.is_look:
        shelved, _ = put(context.library, context.text("copy"), station=context.station, now=context.now)
        return StepOutcome(
            lines=(f"Copy {shelved.accession} stands at {shelved.shelfmark}.",),
            links=(
                (f"/copies/{shelved.accession}", f"Copy {shelved.accession}"),
                (f"/papers?paper=spine-labels&copies={shelved.accession}#chosen", "Its label"),
            ),
        )
    with context.library.reading() as records:
        copy = find_copy(records, context.text("copy"))
        refuse_withdrawn(copy)
        edition = records.get(Edition, copy.edition_id)
        room = find_room(records, copy, edition) if edition else Room(None, "its edition is no longer in the library")
    if room.shelf is None:
        return StepOutcome(lines=(f"No room: {room.reason}.",), cautions=room.remarks)
    return StepOutcome(
        lines=(f"{room.shelf.room} · {room.shelf.name} ({room.reason})", *(f"  {one}" for one in room.sentences)),
        cautions=room.remarks,
        is_plan=True,
    )


def _arrange(context: StepContext) -> StepOutcome:
    if context.is_look:
        with context.library.reading() as records:
            proposal = arrange_shelves.propose(records)
    else:
        proposal, _ = arrange_shelves.adopt(context.library, station=context.station)
    if proposal.short:
        return StepOutcome(lines=("It cannot be done:", *proposal.short), cautions=proposal.remarks)
    moves = counted(proposal.handled, "copy moves", "copies move")
    moved = f"{moves}, {counted(proposal.brought, 'is', 'are')} brought from boxes or piles"
    return StepOutcome(
        lines=(
            f"{moved}, {counted(proposal.put_down, 'is', 'are')} put down on the way.",
            *_numbered(proposal.sentences),
        ),
        cautions=proposal.remarks,
        is_plan=bool(proposal.sentences),
        links=(("/papers?paper=bookcases#chosen", "Bookcases, drawn"),),
    )


def _numbered(sentences: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"  {nth}. {sentence}" for nth, sentence in enumerate(sentences, 1))


def _loads(context: StepContext) -> StepOutcome:
    with context.library.reading() as records:
        named = [find_shelf(records, text) for text in context.words("shelves")]
        reports = weigh_shelves(records, named or None)
    cautions = [caution for report in reports for caution in _load_cautions(report)]
    return StepOutcome(
        lines=(
            *(f"{report.name}: {floor_words(report.load)}" for report in reports),
            SAG_BASIS,
            floor_loads_words(),
            ANCHOR,
            ENGINEER,
        ),
        cautions=cautions,
        tables=tuple(_load_table(report) for report in reports),
    )


def _load_cautions(report: CaseReport) -> list[str]:
    top = [TOP_HEAVY] if report.top_heavy else []
    return [f"{report.name}: {one}" for one in (*shelves_cautions(report.loads), *floor_cautions(report.load), *top)]


def _load_table(report: CaseReport) -> StepTable:
    rows = []
    for shelf, load in report.shelves:
        known = load.sag_mm is not None and load.late_sag_mm is not None
        sag = f"{load.sag_mm:.1f} / {load.late_sag_mm:.1f} mm" if known else "not known"
        rows.append((shelf.place.number, shelf.name, kg_text(load.mass_g), str(load.estimated or ""), sag))
    return StepTable(report.name, ("Shelf", "Name", "Mass", "Estimated", "Sag now / after years"), rows)


def _check(context: StepContext) -> StepOutcome:
    pictures = context.files.get("pictures", ())
    if not pictures:
        raise UsageError("The photograph", "is missing", "take one of the labels or flags of a shelf")
    lines: list[str] = []
    reports: list[check_shelf.ShelfReport] = []
    for path in pictures:
        readings = read_labels(path, context.desk.decoders)
        with context.library.reading() as records:
            found = check_shelf.check_shelves(records, readings, shelf_text=context.text("shelf"))
        reports += found
        for report in found:
            lines += [_checked_words(report), *(f"  {sentence}" for sentence in report.sentences)]
    if context.is_look:
        return StepOutcome(lines=lines, is_plan=True)
    seen = check_shelf.note_sightings(context.library, reports, picture=None, station=context.station, now=context.now)
    return StepOutcome(
        lines=(*lines, f"Recorded {counted(seen, 'copy', 'copies')} as seen."), links=(("/shelves", "All shelves"),)
    )


def _checked_words(report: check_shelf.ShelfReport) -> str:
    check = report.diagnosis
    counts = (len(check.in_place), len(check.misplaced), len(check.missing), len(check.foreign))
    return "{}: {} in place, {} misplaced, {} missing, {} foreign".format(report.where, *counts)


SHELVING_STEPS = (
    DeskStep(
        name="bookcase",
        title="Make a bookcase",
        group=StepGroup.SHELVES,
        verb="Make it",
        run=_bookcase,
        summary="Its shelves, numbered from the top, from a few words.",
        fields=fixed(
            StepField(
                name="shelves",
                label="Shelves",
                required=True,
                hint="Such as: five shelves of 800 x 300 x 250 mm (clear width, height, depth).",
                holds=("shelf",),
            ),
            StepField(name="room", label="Room that it stands in", required=True),
            StepField(name="bookcase", label="What you call the bookcase", required=True),
            StepField(name="subject", label="Subject of the books that belong there", hint="Nothing for any subject."),
            StepField(name="material", label="Material of the boards", hint="Particleboard, MDF, plywood, pine, oak …"),
            StepField(name="board", label="Thickness of the boards", hint="Such as 18 mm.", reads=parse_length_mm),
            StepField(
                name="rated", label="Load that the maker allows on a shelf", hint="Such as 40 kg.", reads=parse_mass_g
            ),
            StepField(
                name="lowest", label="From the floor to the lowest shelf", hint="Such as 80 mm.", reads=parse_height_mm
            ),
        ),
    ),
    DeskStep(
        name="order",
        title="The rule of order",
        group=StepGroup.SHELVES,
        verb="Keep it",
        run=_order,
        fields=_order_fields,
        summary="By what books stand on their shelves, and by which alphabet.",
    ),
    DeskStep(
        name="room",
        title="Room for a copy",
        group=StepGroup.SHELVES,
        verb="It stands there, and they were moved",
        run=_room,
        summary="Where it goes, and what has to move for it.",
        fields=fixed(COPY),
    ),
    DeskStep(
        name="arrange",
        title="Arrange everything anew",
        group=StepGroup.SHELVES,
        verb="They stand as described",
        run=_arrange,
        summary="All copies by the rule of order, and the moves step by step.",
        fields=fixed(),
        word=lambda _values: "arrange all shelves anew",
    ),
    DeskStep(
        name="loads",
        title="Loads of shelves and floors",
        group=StepGroup.SHELVES,
        is_question=True,
        run=_loads,
        summary="Mass, sag, and pressure on the floor.",
        fields=fixed(StepField(name="shelves", label="Shelves", hint="Nothing for all.", holds=("shelf",))),
    ),
    DeskStep(
        name="check-shelf",
        title="Check a shelf with the camera",
        group=StepGroup.SHELVES,
        verb="Record them as seen",
        run=_check,
        summary="Photograph labels or flags: in place, misplaced, missing, foreign.",
        fields=fixed(
            StepField(name="pictures", label="Photographs of shelves", kind=FieldKind.PICTURES, required=True),
            StepField(name="shelf", label="Shelf of the upper row", hint="Where its label is not in the picture."),
        ),
    ),
)
