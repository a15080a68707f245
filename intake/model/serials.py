"""What a person said of a serial: how far it goes."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Serial:
    """A serial that editions collect.

    Attributes:
        title: as editions name it.
        extent: all its parts, in the notation of `intake.runs.notation`, without the title ("1-120, annual 1-4").
    """

    id: int
    title: str
    extent: str
