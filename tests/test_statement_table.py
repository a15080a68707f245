"""The table in DEVELOPERS.md of what statements rest on: every test that it names exists."""

import re
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_the_tests_named_in_the_table_of_statements_exist() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.partition("## What each statement of the tool rests on")[2].partition("\n## ")[0]
    rows = "\n".join(line for line in table.splitlines() if line.startswith("|"))
    named = set(re.findall(r"`((?:\w+/)+test_\w+\.py)`", rows))
    assert len(named) > 40
    assert [name for name in sorted(named) if not (ROOT / "tests" / name).is_file()] == []
