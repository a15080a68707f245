"""Of one edition: what it alone has here, where it breaks off, and what takes up there."""

from collections.abc import Iterable
from dataclasses import dataclass

from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.statement_words import fault_words
from intake.flow.lookup.wording import title_words, volume_words, where_each_is
from intake.flow.runs.run_view import place_of, places_text
from intake.flow.runs.serial_map import (
    CollectedParts,
    Holding,
    SerialEdition,
    SerialMap,
    collected_parts,
    keys_of_edition,
    serial_maps,
)
from intake.model.editions import Copy, CopyState, Edition
from intake.runs.coverage import alone, places_after
from intake.runs.notation import write_parts
from intake.runs.spans import difference, has


@dataclass(frozen=True, slots=True)
class TakingUp:
    """Where an edition breaks off and what takes up there.

    Attributes:
        last: the last part before the break.
        following: the next part that the serial has.
        edition: one with that part: one that is out of its box before one that is not, and that before one not owned;
            None where no edition of the catalog has it.
        of_set: whether that edition is another volume of the same set.
        copy: of it, where one is held: one that is out of its box before one that is not.
    """

    last: str
    following: str
    edition: Edition | None
    of_set: bool
    copy: Copy | None


@dataclass(frozen=True, slots=True)
class EditionRun:
    """What an edition collects of one serial.

    Attributes:
        alone: what no other held copy of another edition has.
        shared: what others have too.
        breaks: each place where it breaks off; none where the serial ends with it.
    """

    serial: str
    collects: str
    alone: str
    shared: str
    breaks: tuple[TakingUp, ...]


def edition_runs(reader: LibraryReader, edition_id: int) -> tuple[EditionRun, ...]:
    """Return what an edition collects, serial by serial; a few statements."""
    collected = collected_parts(reader)
    return tuple(_run_of(found, edition_id) for found in _maps(reader, collected, edition_id))


def _maps(reader: LibraryReader, collected: CollectedParts, edition_id: int) -> tuple[SerialMap, ...]:
    keys = keys_of_edition(collected, edition_id)
    return serial_maps(reader, collected, keys) if keys else ()


def _run_of(found: SerialMap, edition_id: int) -> EditionRun:
    own = next(one for one in found.editions if one.edition.id == edition_id)
    held = {str(one.edition.id): one.places for one in found.editions if one.copies or one is own}
    only = alone(held).get(str(edition_id), ())
    # What follows a break is not always a part that the edition lacks: its next span may begin there.
    breaks = (
        (last, following) for last, following in places_after(own.places, found.order.lines()) if following is not None
    )
    return EditionRun(
        serial=found.title,
        collects=write_parts(own.stated),
        alone=places_text(found, only),
        shared=places_text(found, difference(own.places, only)),
        breaks=tuple(_taking_up(found, own.edition, last, following) for last, following in breaks),
    )


def _taking_up(found: SerialMap, edition: Edition, last: int, following: int) -> TakingUp:
    order = (Holding.OWNED, Holding.BOXED, Holding.WANTED)
    having = [one for one in found.editions if has(one.places, following)]
    best: SerialEdition | None = min(having, key=lambda one: order.index(one.holding), default=None)
    return TakingUp(
        last=places_text(found, ((last, last),)),
        following=places_text(found, ((following, following),)),
        edition=best.edition if best else None,
        of_set=best is not None and bool(best.edition.volume) and _is_of_set(best.edition, edition),
        copy=min(best.copies, key=lambda copy: copy.state is CopyState.PACKED, default=None) if best else None,
    )


def _is_of_set(one: Edition, other: Edition) -> bool:
    return one.title == other.title if one.set_id is None else one.set_id == other.set_id


def collects_lines(reader: LibraryReader, edition: Edition) -> tuple[str, ...]:
    """Write what an edition collects and what takes up where it ends, a sentence for each serial.

    Of several places where it breaks off, the first is told: there another volume has to be taken up.
    """
    if not edition.collects:
        return ()
    collected = collected_parts(reader)
    if fault := collected.faults.get(edition.id):
        return (f"What it collects is not understood: {fault_words(fault)}.",)
    runs = [_run_of(found, edition.id) for found in _maps(reader, collected, edition.id)]
    copies = [taking.copy for run in runs for taking in run.breaks if taking.copy]
    where = where_each_is(reader, copies)
    return tuple(_line(run, where, alone=len(runs) == 1) for run in runs)


def _line(run: EditionRun, where: dict[str, str], *, alone: bool) -> str:
    of_serial = "" if alone else f" of {run.serial}"
    start = f"Collects {run.collects}{of_serial}"
    if not run.breaks:
        return f"{start}; nothing follows it."
    return f"{start}; {taking_up_words(run.breaks[0], where)}."


def taking_up_words(taking: TakingUp, where: dict[str, str]) -> str:
    """Write which part follows, and where it is."""
    start = f"the next part, {taking.following}, is"
    if taking.edition is None:
        return f"{start} in no edition of the catalog"
    name = volume_words(taking.edition, "volume") if taking.of_set else f"'{title_words(taking.edition)}'"
    if taking.copy is None:
        return f"{start} in {name}, which is not held"
    return f"{start} in {name}, {place_of(taking.copy, where)}"


def breaks_words(reader: LibraryReader, runs: Iterable[EditionRun]) -> dict[str, tuple[str, ...]]:
    """Write for each serial where the edition breaks off and what takes up there."""
    runs = tuple(runs)
    where = where_each_is(reader, [taking.copy for run in runs for taking in run.breaks if taking.copy])
    return {
        run.serial: tuple(f"After {taking.last}: {taking_up_words(taking, where)}." for taking in run.breaks)
        for run in runs
    }
