"""What a station keeps of an open box while it has no connection."""

import pytest

from intake.edges.store.library import Library
from intake.flow.lookup.resolve import find_box
from intake.flow.unpacking import offline_list


def test_every_copy_is_listed_though_places_are_looked_for_only_for_the_first(
    arrived: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    with arrived.reading() as records:
        box = find_box(records, "1").number
        whole = offline_list.offline_lines(records, box)
        monkeypatch.setattr(offline_list, "MOST", 1)
        short = offline_list.offline_lines(records, box)
    assert [line.number for line in whole] == ["9780306406157", "9780804429573", "9770264359008", ""]
    assert whole[0].goes.startswith("Study")
    assert [line.copy for line in short] == [line.copy for line in whole]
    assert [line.goes for line in short] == [whole[0].goes, "", "", ""]
