"""The short form of the strangers at the door; `python -m tests.faults.door` measures with 1,100 of them."""

from pathlib import Path

import pytest

from tests.faults.door import KINDS, StrangerKind, rehearse
from tests.faults.libraries import set_up

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind.name != "nobody"], ids=lambda kind: kind.name)
def test_every_scan_is_taken_among_strangers(tmp_path: Path, kind: StrangerKind) -> None:
    set_up(tmp_path / "library")
    report = rehearse(tmp_path / "library", kind, 300, 4)
    assert report.failed == []
    assert (len(report.kept_s), len(report.fresh_s)) == (4, 4)
