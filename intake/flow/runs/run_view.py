"""What is shown of a serial: known, held and missing parts, its editions, and an order to read it in."""

from collections.abc import Iterator
from dataclasses import dataclass

from intake.edges.store.queries.withdrawals import withdrawals_of
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.statement_words import remark_sentence
from intake.flow.lookup.wording import where_each_is
from intake.flow.runs.named_serial import named_map
from intake.flow.runs.serial_map import Holding, SerialEdition, SerialMap, edition_name
from intake.model.editions import Copy, CopyState
from intake.runs.coverage import alone, fewest_changes, longest_stretch, missing
from intake.runs.notation import write_parts
from intake.runs.part_order import on_line
from intake.runs.parts import Parts, doubles, expanded
from intake.runs.published import write_published
from intake.runs.spans import Span, Spans, count
from intake.runs.statements import StatementRemark, StatementRemarkKind
from intake.units.counts import counted
from intake.units.language import say, say_of

NO_EXTENT = (
    "How far the serial goes is not given: known is each run from the first to the last part that an edition collects."
)


@dataclass(frozen=True, slots=True)
class EditionInRun:
    """One edition, in words.

    Attributes:
        alone: what no other edition of the catalog has, held or not.
        where: of each held copy, in words.
        gone: what became of each copy that is not held any more, in words.
    """

    key: str
    name: str
    holding: Holding
    collects: str
    alone: str
    where: tuple[str, ...]
    gone: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadingStep:
    """Parts to read in one volume before it is put down."""

    parts: str
    copy: str
    name: str
    where: str


@dataclass(frozen=True, slots=True)
class RunView:
    """What is known of a serial, in the plain notation.

    Attributes:
        counts: how much of it is held, in words.
        extent: as a person gave it; empty where known is the span of what the catalog collects.
        published: what is held as libraries publish it (ANSI/NISO Z39.71).
        remarks: what was left out or may be meant otherwise; one sentence each.
    """

    serial: str
    counts: str
    known: str
    extent: str
    held: str
    published: str
    gaps: tuple[str, ...]
    longest: str
    editions: tuple[EditionInRun, ...]
    reading: tuple[ReadingStep, ...]
    remarks: tuple[str, ...]


def run_view(reader: LibraryReader, text: str) -> RunView:
    """Return what is known of the serial that a person names.

    Raises:
        RefusedError: no serial is named so, or several are.
    """
    return view_of(reader, *named_map(reader, text))


def view_of(reader: LibraryReader, found: SerialMap, remarks: tuple[str, ...] = ()) -> RunView:
    """Return what is shown of a serial's map."""
    where = where_each_is(reader, (copy for one in found.editions for copy in one.copies))
    gone = _gone(reader, found)
    longest = longest_stretch(found.held, found.order.lines())
    only_here = alone({str(one.edition.id): one.places for one in found.editions})
    return RunView(
        serial=found.title,
        counts=count_words(found),
        known=write_parts(found.known),
        extent=found.extent.extent if found.extent else "",
        held=places_text(found, found.held),
        published=write_published(found.order.parts(found.held), found.known),
        gaps=gap_texts(found),
        longest=places_text(found, (longest,)) if longest else "",
        editions=tuple(
            _edition_line(found, one, only_here.get(str(one.edition.id), ()), where, gone) for one in found.editions
        ),
        reading=_reading(found, where),
        remarks=(*_remarks(found), *remarks),
    )


def gap_places(found: SerialMap) -> Spans:
    """Return the places of what is missing, one span for each unbroken gap in a run."""
    return missing(found.held, found.order.runs())


def gap_texts(found: SerialMap) -> tuple[str, ...]:
    """Return each gap as a statement of parts."""
    return tuple(places_text(found, (gap,)) for gap in gap_places(found))


def places_text(found: SerialMap, places: Spans) -> str:
    """Return the parts at places, in the plain notation."""
    return write_parts(found.order.parts(places))


def stated_text(found: SerialMap, one: SerialEdition, line: Span) -> str:
    """Return what an edition states to collect on one line, in the plain notation.

    Its places would say more where it states one number of an issue that has several.
    """
    return write_parts(on_line(one.stated, found.order.line_at(line[0])))


def place_of(copy: Copy, where: dict[str, str]) -> str:
    """Return where a copy is; a copy still boxed is said to be."""
    boxed = "still in " if copy.state is CopyState.PACKED and copy.box else ""
    return f"{boxed}{where.get(copy.accession) or copy.state.value}"


def _held_where(copy: Copy, where: dict[str, str]) -> str:
    return f"{copy.accession} ({place_of(copy, where)})"


def _gone(reader: LibraryReader, found: SerialMap) -> dict[str, str]:
    """Write what became of each copy that is not held any more."""
    gone = [copy for one in found.editions for copy in one.gone]
    withdrawn = withdrawals_of(reader, [copy.accession for copy in gone]) if gone else {}
    return {
        copy.accession: f"{copy.accession} {left.reason} on {left.on}"
        if (left := withdrawn.get(copy.accession))
        else f"{copy.accession} {copy.state}"
        for copy in gone
    }


def _edition_line(
    found: SerialMap, one: SerialEdition, only_here: Spans, where: dict[str, str], gone: dict[str, str]
) -> EditionInRun:
    return EditionInRun(
        key=edition_name(one.edition),
        name=one.name,
        holding=one.holding,
        collects=write_parts(one.stated),
        alone=places_text(found, only_here),
        where=tuple(_held_where(copy, where) for copy in one.copies),
        gone=tuple(gone[copy.accession] for copy in one.gone),
    )


def _reading(found: SerialMap, where: dict[str, str]) -> tuple[ReadingStep, ...]:
    by_copy = {copy.accession: (copy, one) for one in found.editions for copy in one.copies}
    # Of volumes that go equally far, one that is out of its box is read rather than one that is not.
    rank = sorted(by_copy, key=lambda key: (by_copy[key][0].state is CopyState.PACKED, key))
    return tuple(
        ReadingStep(
            places_text(found, read.places),
            read.volume,
            by_copy[read.volume][1].name,
            _held_where(by_copy[read.volume][0], where),
        )
        for read in fewest_changes(found.volumes, rank)
    )


def _remarks(found: SerialMap) -> tuple[str, ...]:
    assumed = (
        f"{edition_name(one.edition)} collects {write_parts(one.stated)}; how far that goes is not given, so "
        f"{places_text(found, one.places) or 'nothing'} of it is counted."
        for one in found.editions
        if one.is_assumed
    )
    notes = (
        f"Of {edition_name(one.edition)}: {words}."
        for one in found.editions
        for remark in one.remarks
        if remark.kind is not StatementRemarkKind.COMBINED and (words := _remark_words(found, one, remark))
    )
    no_edition = () if found.editions else (none_collects(found.title),)
    no_extent = () if found.extent else (NO_EXTENT,)
    doubles_counted = tuple(_double_numbers(found))
    return (*no_edition, *no_extent, *outside_words(found), *assumed, *doubles_counted, *half_words(found), *notes)


def outside_words(found: SerialMap) -> tuple[str, ...]:
    """Return a sentence for each edition that states parts that the serial is not known to have."""
    return tuple(
        say(
            "{edition} collects {parts}, which the extent of {serial} does not have: correct what it collects, or the "
            "extent.",
            edition=edition_name(one.edition),
            parts=write_parts(one.outside),
            serial=found.title,
        )
        for one in found.editions
        if one.outside
    )


def half_words(found: SerialMap) -> tuple[str, ...]:
    """Return a sentence for each edition that states one number of an issue that has several."""
    return tuple(
        say(
            "{edition} collects one number of {issue} and is counted as having it: look whether it has the whole "
            "issue.",
            edition=edition_name(one.edition),
            issue=places_text(found, one.partly),
        )
        for one in found.editions
        if one.partly
    )


def _remark_words(found: SerialMap, one: SerialEdition, remark: StatementRemark) -> str:
    """Write a remark as it is true beside the extent and the other editions; empty where these settle it."""
    if remark.parts is None:
        return remark_sentence(remark)
    numbers = expanded(remark.parts, found.known)
    if not numbers & found.known:
        return ""
    having = (other for other in found.editions if other is not one and expanded(other.stated, found.known) & numbers)
    if other := next(having, None):
        return f"{edition_name(other.edition)} has '{remark.word}', so the semicolon before what follows it is wrong"
    return remark_sentence(remark)


def none_collects(title: str) -> str:
    """Write that a serial is known by its extent alone."""
    return f"No edition of the catalog collects anything of {title}: look whether its name is written as they write it."


def _double_numbers(found: SerialMap) -> Iterator[str]:
    """Yield what is to be said of issues with several numbers, a sentence each."""
    if every := write_parts(doubles(found.known.combined)):
        yield f"One issue with several numbers counts once, and is held where any of them is: {every}."
    for one in found.editions:
        if others := write_parts(_not_known(one.stated, found.known)):
            name = edition_name(one.edition)
            yield f"{name} names {others} as one issue, and another entry does not: correct what either collects."


def _not_known(stated: Parts, known: Parts) -> Parts:
    """Return the double numbers that overlap others which count."""
    return doubles(
        {
            key: [piece for piece in pieces if piece not in known.combined.get(key, ())]
            for key, pieces in (stated & known).combined.items()
        }
    )


def count_words(found: SerialMap) -> str:
    """Write how much of a serial is held, and how many gaps there are.

    >>> from intake.runs.part_order import PartOrder
    >>> from intake.runs.parts import Parts
    >>> known = Parts({(): ((1, 9),)})
    >>> count_words(SerialMap("Tide", None, known, PartOrder(known), ()))
    '0 of 9 parts held, 1 gap'
    """
    gaps = len(gap_places(found))
    return f"{held_words(found)}, {counted(gaps, 'gap') if gaps else 'no gap'}"


def held_words(found: SerialMap) -> str:
    """Write how much of a serial is held."""
    return say_of(
        found.order.size, "{held} of {count} part held", "{held} of {count} parts held", held=count(found.held)
    )
