"""The development photographs, where a checkout has them beside it, and what is printed on them.

Black-box test pictures of the open-source libraries ZXing and zxing-cpp (Apache License 2.0); see their README.
"""

import json
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parents[3] / "shared" / "photos"
ABSENT = "the development photographs (../shared/photos) are not here"

TOGETHER = frozenset({"9784872348880", "1920081045006"})
"""The two symbols on the back of one Japanese book: the list names one of them, both are often in the picture."""


@dataclass(frozen=True)
class Photograph:
    """One picture and what it shows."""

    path: Path
    group: str
    number: str | None
    add_on: str | None
    held_out: bool

    def shows(self, number: str) -> bool:
        """Tell whether the number is printed in the picture."""
        return number == self.number or (number in TOGETHER and self.number in TOGETHER)


def photographs() -> list[Photograph]:
    """List the pictures; every third was held out when the decoders' rules were tuned."""
    truth = json.loads((FOLDER / "truth.json").read_text(encoding="utf-8"))
    return [
        Photograph(FOLDER / row["file"], row["file"].split("/")[0], row["number"], row["add_on"], i % 3 == 0)
        for i, row in enumerate(truth)
    ]
