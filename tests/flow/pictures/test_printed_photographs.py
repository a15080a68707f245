"""Numbers printed in real photographs, by the real reader of text: some are right, and none is wrong."""

from collections import Counter

import pytest

from intake.edges import ocr
from intake.edges.pictures import load
from intake.flow.pictures.read_files import numbers_in
from tests.benchmarks.print_table import cut_outs, judged
from tests.reading.photographs import ABSENT, FOLDER, photographs

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not FOLDER.is_dir(), reason=ABSENT),
    pytest.mark.skipif(not ocr.is_installed(), reason="the part that reads text is not installed"),
]


def test_of_every_fifth_photograph_no_number_is_wrong() -> None:
    counts: Counter[str] = sum(
        (judged(photograph, numbers_in(grey, under_bars=True)) for photograph, grey in cut_outs(5)), Counter()
    )
    assert counts["wrong"] + counts["wrong, repaired"] == 0
    assert counts["right"] >= 8


def test_where_nothing_is_printed_no_number_is_found() -> None:
    for photograph in [each for each in photographs() if each.number is None][::4]:
        assert numbers_in(load(photograph.path).grey) == ()
