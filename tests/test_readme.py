"""The README and the command line say the same."""

from pathlib import Path

import click
import pytest

from intake.cli.main import intake

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
TEST_COMMAND = "python3 -m venv .venv && .venv/bin/pip install '.[test]' && .venv/bin/pytest -n 2"


def commands(group: click.Group, prefix: str = "intake") -> list[tuple[str, click.Command]]:
    found: list[tuple[str, click.Command]] = []
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        path = f"{prefix} {name}"
        found += commands(command, path) if isinstance(command, click.Group) else [(path, command)]
    return found


@pytest.mark.parametrize(("path", "command"), commands(intake))
def test_every_command_has_help_and_stands_in_the_readme(path: str, command: click.Command) -> None:
    assert command.help
    assert path in README


def test_ci_runs_the_readmes_test_command() -> None:
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert TEST_COMMAND in README
    for step in ("python3 -m venv .venv", ".venv/bin/pip install", "'.[test]'", ".venv/bin/pytest -n 2"):
        assert step in ci
