"""The tables in DEVELOPERS.md of what statements rest on, and of the desk's security: every test they name exists."""

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


def test_the_tests_named_in_the_table_of_the_desks_security_exist() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.partition("## The desk against OWASP ASVS 4.0.3")[2].partition("\n## ")[0]
    rows = [line for line in table.splitlines() if re.match(r"\| \d", line)]
    assert len(rows) > 40
    assert {row.split("|")[2].strip() for row in rows} <= {"yes", "yes, but pictures", "in part", "TLS", "no"}
    named = {name for row in rows for name in re.findall(r"`((?:\w+/)*test_\w+\.py)`", row)}
    files = {name if "/" in name else f"desk/{name}" for name in named}
    assert [name for name in sorted(files) if not (ROOT / "tests" / name).is_file()] == []
