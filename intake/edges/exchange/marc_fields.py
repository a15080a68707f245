"""A MARC 21 record in memory, however it was written: leader, control fields, data fields with subfields.

Source: MARC 21 Format for Bibliographic Data and MARC 21 Specifications for Record Structure (Library of Congress).
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

Subfield = tuple[str, str]
"""Code and value."""


class MarcField(NamedTuple):
    """A field: `data` for tags 001 to 009, two indicators and subfields for all others."""

    tag: str
    indicators: str = ""
    subfields: Sequence[Subfield] = ()
    data: str = ""

    def first(self, code: str) -> str:
        """Return the first subfield with a code without outer blanks; empty where there is none."""
        return next((value.strip() for own, value in self.subfields if own == code), "")

    def all(self, codes: str) -> list[str]:
        """Return the subfields with any of these codes, in the order of the field, without empty ones."""
        return [value.strip() for own, value in self.subfields if own in codes and value.strip()]

    @property
    def text(self) -> str:
        """Return all that the field holds, for a person."""
        return self.data or " ".join(value.strip() for _, value in self.subfields)


class MarcRecord(NamedTuple):
    """A record: 24 characters of leader, and the fields in their order."""

    leader: str
    fields: Sequence[MarcField]

    def having(self, *tags: str) -> Iterator[MarcField]:
        """Yield the fields with any of these tags, in the order of the record."""
        return (field for field in self.fields if field.tag in tags)
