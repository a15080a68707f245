"""The copies that valued lists are of: each with its edition, where it is and its latest value, read together once."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from intake.edges.store.queries.boxes import boxes_left_out, damage_of_copies
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.papers import copies_that_travelled, latest_valuations_in
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.queries.values import latest_valuations
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.wording import boxes_of_loose, path_words, place_words
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperSource
from intake.flow.papers.proofs import ALL, claim_of, entry_now
from intake.flow.values.figures import refuse_future
from intake.flow.values.value_copies import total_of_copies
from intake.flow.values.value_sets import counted_sets
from intake.identifiers.own import serial_of
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import PlacePath
from intake.model.valuations import Basis, Valuation
from intake.units.language import say
from intake.valuing import proof
from intake.valuing.totals import ValueTotal


@dataclass(frozen=True, slots=True)
class GroupName:
    """What a group of a list is called; those of copies that belong to no group of their own come last."""

    name: str
    last: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ValuedCopy:
    """One copy with what every valued list says of it.

    Attributes:
        where: its place from the room down, or its box and state.
        room: the group it belongs to where copies are grouped by room.
        value: as last recorded; None where it never was.
        damage: what was recorded of its damage as it came out of its box; None where none was.
        awaited: whether its box has not arrived although another one of the consignment has.
    """

    copy: Copy
    edition: Edition
    where: str
    room: GroupName
    value: Valuation | None
    damage: str | None = None
    awaited: bool = False

    @property
    def lost(self) -> bool:
        """Return whether it was not found since the move, so that it is not at risk any more."""
        return self.copy.state is CopyState.MISSING


def valued_copies(
    reader: LibraryReader, *, basis: Basis | None = None, reference: str | None = None
) -> tuple[ValuedCopy, ...]:
    """Return all copies, or those that the boxes of a consignment list, in the order of their numbers.

    Args:
        reader: of the library at one moment.
        basis: the basis whose latest values count; None for the one that counts (`intake.valuing.counting`).
        reference: of the consignment, for which a basis is not asked; None for all copies.
    """
    if reference is None:
        pairs: Iterable[tuple[Copy, Edition]] = all_copies(reader)
        values = latest_valuations(reader, basis)
    else:
        pairs = copies_that_travelled(reader, reference)
        values = latest_valuations_in(reader, reference)
    pairs = sorted(pairs, key=lambda pair: serial_of(pair[0].accession))
    paths, damage, left_out = place_paths(reader), damage_of_copies(reader), boxes_left_out(reader)
    awaited = {copy.accession for copy, _ in pairs if copy.state is CopyState.PACKED and copy.box in left_out}
    out_of = boxes_of_loose(reader, (copy for copy, _ in pairs), paths)
    return tuple(
        ValuedCopy(
            copy=copy,
            edition=edition,
            where=_where(copy, paths, out_of, awaited),
            room=_room(copy, paths, out_of, awaited),
            value=values.get(copy.accession),
            damage=damage.get(copy.accession),
            awaited=copy.accession in awaited,
        )
        for copy, edition in pairs
    )


def total_of(
    reader: LibraryReader, copies: Sequence[ValuedCopy], *, currency: str, on: date, basis: Basis | None = None
) -> ValueTotal:
    """Add up what copies are worth in a currency at the rates of a day; sets of which all volumes are here count once.

    Args:
        reader: of the library at one moment.
        copies: which; a volume of a set that is not among them is taken as missing from it.
        currency: of the total, a code of ISO 4217.
        on: the day of the rates.
        basis: the basis whose values of sets count; None for the one that counts (`intake.valuing.counting`).

    Raises:
        UsageError: ISO 4217 has no such currency.
    """
    return total_of_copies(
        reader,
        [one.copy.accession for one in copies],
        {one.copy.accession: one.value for one in copies if one.value is not None},
        {one.copy.accession for one in copies if one.lost},
        counted_sets(reader, [one.copy for one in copies], basis=basis),
        currency=currency,
        on=on,
    )


def proof_of(
    source: PaperSource,
    purpose: str,
    copies: Sequence[ValuedCopy],
    scope: str = ALL,
    *,
    basis: Basis | None = None,
) -> str:
    """Return the words of the proof of a list that is made now of these copies.

    Args:
        source: of the list.
        purpose: what kind of list it is.
        copies: all that are in the scope.
        scope: see `intake.flow.papers.proofs.in_scope`.
        basis: the basis whose latest values count; None for the one that counts (`intake.valuing.counting`).
    """
    values = [one.value for one in copies if one.value is not None]
    entry = entry_now(source.reader)
    claimed = claim_of(len(copies), values, purpose=purpose, scope=scope, basis=basis or "", on=source.on, entry=entry)
    return proof.to_text(claimed)


def rates_day(source: PaperSource, options: PaperOptions) -> date:
    """Return the day of the rates: as chosen, else the day of the paper.

    Raises:
        UsageError: the day is in the future.
    """
    day = options.rates_on or source.on
    refuse_future(day, source.on, "give a day of which there are rates")
    return day


def refuse_none(copies: Collection[object]) -> None:
    """Refuse to make a list of no copy: somebody might sign it.

    Raises:
        RefusedError: there is no copy.
    """
    if not copies:
        raise RefusedError("The library", "holds no copy, so there is nothing to list", "import or pack copies first")


def lost_group() -> GroupName:
    """Return what the group of lost copies is called."""
    return GroupName(say("Lost: not found since the move, and not at risk"), last=True)


def _where(copy: Copy, paths: Mapping[str, PlacePath], out_of: Mapping[str, str], awaited: Collection[str]) -> str:
    path = paths.get(copy.place or "")
    if path is not None and copy.state is not CopyState.MISSING:
        return path_words(path)
    where, state = place_words(copy, None, out_of.get(copy.accession)), say(copy.state.value)
    if copy.accession in awaited:
        return say("{where}, {state}, which has not arrived", where=where, state=state)
    return f"{where}, {state}" if where else state


def _room(copy: Copy, paths: Mapping[str, PlacePath], out_of: Mapping[str, str], awaited: Collection[str]) -> GroupName:
    path = paths.get(copy.place or "")
    if copy.state is CopyState.MISSING:
        return lost_group()
    if path is not None:
        return GroupName(path.room)
    if copy.accession in out_of:
        return GroupName(say("Out of box {box}", box=out_of[copy.accession]))
    if not copy.box:
        return GroupName(say("Not placed"), last=True)
    if copy.accession in awaited:
        return GroupName(say("In box {box}, which has not arrived", box=copy.box))
    return GroupName(say("In box {box}", box=copy.box))
