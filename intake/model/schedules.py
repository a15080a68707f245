"""The contents of the valued lists: finished texts, exact amounts, and the proof that ties each to the ledger.

`flow` makes these from the records; a document looks nothing up and computes only sums of what it prints. An unknown
amount is None and is printed as unknown.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.model.valuations import Basis, CountedAmount
from intake.units.language import term


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofTotal:
    """One total of a list in the currency recorded, not converted."""

    currency: str
    basis: str
    amount: Decimal
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What a list states, and the state of the ledger that it was made from.

    Attributes:
        purpose: the kind of list.
        scope: the copies it covers ("all", "consignment C-1", "copy A1-71").
        basis: the basis whose latest valuations count; empty for the one that counts where none is asked for
            (`intake.valuing.counting`); 'latest', of an earlier version's list, for the latest whatever its basis.
        seq, head: number and SHA-256 of the last ledger entry when it was made.
    """

    purpose: str
    on: date
    scope: str
    copies: int
    unvalued: int
    totals: tuple[ProofTotal, ...]
    seq: int
    head: str
    basis: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Photograph:
    """A photograph to be printed; where `data` is None it cannot be printed, and `why` is the reason.

    Attributes:
        sha256: digest of the stored file, against which the print can be checked.
        width_px, height_px: of the whole picture, for its proportions.
        data: JPEG bytes scaled for print.
    """

    copy: str
    caption: str
    sha256: str
    width_px: int
    height_px: int
    data: bytes | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PicturePlaces:
    """A photograph of what was seen, large, beside an earlier one of the same part.

    Attributes:
        earlier: None where there is none; `why` then stands in its place.
    """

    later: Photograph
    earlier: Photograph | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleLine:
    """One copy of a schedule, or one set that is counted once in place of its volumes.

    Attributes:
        number: of the copy; "set 3" for a set.
        more: volume, contributors, edition, printing; for a set, which copies it is of.
        amount: as it enters the totals; None where there is no value, or where it is counted in a set.
        currency: of the amount: that of the schedule, or the one it was recorded in where a rate is missing.
        basis: of the amount.
        lost: whether it is lost, and so not at risk.
        copies: how many copies the amount is of, for a set; 1 for a copy.
        is_set: whether this is a set.
        in_set: the set in whose amount a copy is counted, as that is numbered in the list; empty for none.
        recorded: the amount as recorded, its basis, source and date.
        note: why there is no amount, or how it was made.
        isbn, publisher, year: as printed in the book; empty or None where that is not known.
    """

    number: str
    title: str
    more: str = ""
    condition: str = ""
    where: str = ""
    amount: Decimal | None = None
    currency: str = ""
    basis: Basis | None = None
    lost: bool = False
    copies: int = 1
    is_set: bool = False
    in_set: str = ""
    recorded: str = ""
    valued_on: date | None = None
    note: str = ""
    isbn: str = ""
    publisher: str = ""
    year: int | None = None

    @property
    def counted(self) -> CountedAmount | None:
        """Return the amount as it enters a total; None where it enters none."""
        if self.amount is None or self.basis is None:
            return None
        return CountedAmount(
            amount=self.amount, currency=self.currency, basis=self.basis, copies=self.copies, is_set=self.is_set
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleGroup:
    """The copies of one room, or of one class, and the sets of which all copies are in it."""

    name: str
    lines: tuple[ScheduleLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A valued list for an insurer.

    Attributes:
        grouped_by: the heading of the summary's first column.
        single_limit: items worth more than this are listed individually; None for no limit.
        summary: sentences under the total: what is estimated, what is left out, the sum insured.
        method: how the figures were computed: rates with their dates, rounding.
        proof: the text of the proof; empty prints none.
        legend: what the letters of the grades mean, of those that are in it.
    """

    title: str
    on: date
    currency: str
    groups: tuple[ScheduleGroup, ...]
    grouped_by: str = term("Room")
    owner: str = ""
    address: str = ""
    singles: tuple[ScheduleLine, ...] = ()
    single_limit: Decimal | None = None
    summary: tuple[str, ...] = ()
    method: tuple[str, ...] = ()
    photographs: tuple[Photograph, ...] = ()
    proof: str = ""
    legend: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedLine:
    """One copy of a move: its condition at origin and at destination."""

    number: str
    title: str
    at_origin: str = ""
    at_destination: str = ""
    value: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedBox:
    """One box of a move inventory; `facts` are (name, text) pairs: marks, seal, mass, carton, discrepancies."""

    number: str
    facts: tuple[tuple[str, str], ...]
    lines: tuple[MovedLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveInventory:
    """All boxes of a move and what is in each; totals are sentences, `legend` says what the letters of grades mean."""

    reference: str
    on: date
    facts: tuple[tuple[str, str], ...]
    boxes: tuple[MovedBox, ...]
    totals: tuple[str, ...] = ()
    proof: str = ""
    legend: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A heading, facts, sentences and a table; all but the heading may be empty."""

    heading: str
    facts: tuple[tuple[str, str], ...] = ()
    sentences: tuple[str, ...] = ()
    columns: tuple[tuple[str, float], ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Dossier:
    """A document about one copy: everything that is recorded of it, or its condition before and after.

    Attributes:
        compared: photographs of damage, each beside an earlier one.
        initialled: whose code and initials have a place on each page.
        signatures: who is to sign; empty for a document without signatures.
    """

    title: str
    number: str
    on: date
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    photographs: tuple[Photograph, ...] = ()
    signatures: tuple[str, ...] = ()
    initialled: tuple[str, ...] = ()
    compared: tuple[PicturePlaces, ...] = ()
    proof: str = ""
