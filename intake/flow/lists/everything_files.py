"""The files of a folder with all current records: one for each kind, and one with the numbers that are used up.

Pictures and the ledger are not among them; they are in the copy of the library's folder. What refers to a picture loses
that reference. What only the ledger knows and lists depend on has files of its own (`carried_lists`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from intake.edges.store.pending import KINDS_IN_ORDER
from intake.edges.store.record_cells import columns
from intake.model.boxes import Box, BoxPicture, Consignment, Discrepancy
from intake.model.changes import Record
from intake.model.condition import ConditionReport, CopyPicture
from intake.model.earlier import EarlierListing, EarlierMerge
from intake.model.editions import BookSet, Copy, Edition, Printing
from intake.model.places import Place
from intake.model.serials import Serial
from intake.model.shelving import Ordering, Printed
from intake.model.sightings import Picture, Query, Sighting
from intake.model.valuations import Rate, SetValue, Valuation
from intake.model.withdrawals import Withdrawal

NUMBERS_FILE = "numbers.csv"
NUMBERS_COLUMNS = ("counter", "last")
ON_NO_LIST = "on_no_list"
"""The column of copies that were recorded as they came out of a box."""
PICTURES: tuple[type[Record], ...] = (Picture, BoxPicture, CopyPicture)
"""The kinds of records that are left out."""
EARLIER: tuple[type[Record], ...] = (EarlierMerge, EarlierListing)
"""What the ledger tells of lists; a folder of an older program has neither."""

_NAMES: Mapping[type[Record], str] = {
    BookSet: "sets.csv",
    Edition: "editions.csv",
    Printing: "printings.csv",
    Consignment: "consignments.csv",
    Box: "boxes.csv",
    Place: "places.csv",
    Copy: "copies.csv",
    Withdrawal: "withdrawals.csv",
    Serial: "serials.csv",
    Valuation: "values.csv",
    SetValue: "set-values.csv",
    Rate: "rates.csv",
    ConditionReport: "condition-reports.csv",
    Sighting: "sightings.csv",
    Query: "queries.csv",
    Discrepancy: "discrepancies.csv",
    Ordering: "order-of-shelves.csv",
    Printed: "printed-labels.csv",
    EarlierMerge: "merged-editions.csv",
    EarlierListing: "said-by-lists.csv",
}
_WITHOUT: Mapping[type[Record], tuple[str, ...]] = {Sighting: ("picture",), Query: ("picture",)}


@dataclass(frozen=True, slots=True)
class RecordFile:
    """The file of one kind of record.

    Attributes:
        fields: of the record, as columns.
        beside: columns for what is kept beside it.
        refers: the kinds of records of which fields name one that must be in the folder, though the tables do not ask.
    """

    kind: type[Record]
    name: str
    fields: tuple[str, ...]
    beside: tuple[str, ...] = ()
    refers: Mapping[str, type[Record]] = field(default_factory=dict)

    @property
    def columns(self) -> tuple[str, ...]:
        """Return the names of all columns."""
        return (*self.fields, *self.beside)


FILES: Sequence[RecordFile] = tuple(
    RecordFile(
        kind,
        _NAMES[kind],
        columns(kind, _WITHOUT.get(kind, ())),
        (ON_NO_LIST,) if kind is Copy else (),
        {"into": Edition} if kind is EarlierMerge else {},
    )
    for kind in (*(kind for kind in KINDS_IN_ORDER if kind not in EARLIER), *EARLIER)
    if kind not in PICTURES
)
"""Each after those that its records refer to."""

FILE_OF: Mapping[type[Record], RecordFile] = {file.kind: file for file in FILES}
