"""What of a book a finger can point at in a drawing, and the trade's words for what may be wrong there.

The words are those of `intake.model.condition.PARTS`; a region only says which of them come to mind at that place.
"""

from dataclasses import dataclass

from intake.model.condition import PARTS


@dataclass(frozen=True, slots=True)
class BookRegion:
    """A place on the drawing of a book.

    Attributes:
        key: names it in the drawing.
        name: for a person.
        part: the part of the book that its defects are stated of.
        words: the trade's words for these, the likest first.
    """

    key: str
    name: str
    part: str
    words: tuple[str, ...]


def _region(key: str, name: str, part: str, *first: str, only: bool = False) -> BookRegion:
    """Return a region with the words that belong there first, and, unless it has `only` these, the part's others."""
    others = () if only else tuple(word for word in PARTS[part] if word not in first)
    return BookRegion(key, name, part, (*first, *others))


REGIONS = (
    _region("jacket", "Jacket", "jacket"),
    _region("boards", "Boards", "boards", "rubbed", "scratched", "stained"),
    _region("corners", "Corners", "boards", "bumped corners", only=True),
    _region("spine", "Spine", "spine"),
    _region("head", "Head of the spine", "spine", "torn at the head", "bumped", only=True),
    _region("foot", "Foot of the spine", "spine", "torn at the foot", "bumped", only=True),
    _region("hinge", "Hinge", "block", "hinge cracked", "shaken", only=True),
    _region("block", "Block and edges", "block", "foxed edges", "damp mark", "mould"),
    _region("leaves", "Leaves", "leaves"),
)
