"""What the ledger of an earlier library told that lists depend on, kept where a library was made from its records.

A library that is made from a folder of records begins with a ledger of its own. Lists of which the earlier library
knew are imported into it as they were into that one: these records tell what its ledger no longer can.
"""

from dataclasses import dataclass

from intake.model.editions import Edition


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierMerge:
    """A name under which lists may still have an edition that was merged into another.

    Attributes:
        edition: the id that it had; that of `into` where the edition that stays took the other's key for its own.
        into: the id of the edition that stayed. No reference: that one may be merged into another too, since.
        key, number, add_on, title, volume: what lists name it by.
    """

    id: int
    edition: int
    into: int
    key: str = ""
    number: str | None = None
    add_on: str | None = None
    title: str
    volume: str = ""

    @property
    def away(self) -> Edition:
        """Return the edition as lists name it."""
        return Edition(
            id=self.edition,
            title=self.title,
            key=self.key,
            number=self.number,
            add_on=self.add_on,
            volume=self.volume,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlierListing:
    """All that the imports of one list said of one record, as one change.

    Attributes:
        step: what the ledger calls the import of such a list (`intake.model.changes.ActionKind`).
        file: the name of the list's file.
        record_table, record_key: of the record.
        before: None where the list made the record; else the record, the fields of which the list said something being
            as they were before. Canonical JSON, as in the ledger (`intake.edges.store.chain`).
        after: the record, these fields being as the list said last.
    """

    id: int
    step: str
    file: str
    record_table: str
    record_key: str
    before: str | None = None
    after: str
