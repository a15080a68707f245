"""Exit statuses of every command: 0 done, 2 wrong use."""

import click
import pytest

from intake.cli.commands import ENTRIES, STAGES
from intake.cli.main import intake
from tests.cli.conftest import Intake


def leaves(group: click.Group, path: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], click.Command]]:
    context = click.Context(group)
    found: list[tuple[tuple[str, ...], click.Command]] = []
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        found += leaves(command, (*path, name)) if isinstance(command, click.Group) else [((*path, name), command)]
    return found


COMMANDS = leaves(intake)
NEEDS_ARGUMENTS = [
    (path, command) for path, command in COMMANDS
    if any(isinstance(parameter, click.Argument) and parameter.required for parameter in command.params)
]  # fmt: skip


def test_every_command_stands_in_one_stage() -> None:
    names = [entry.name for _, entries in STAGES for entry in entries]
    assert len(names) == len(set(names))
    for name, entry in ENTRIES.items():
        command = intake.get_command(click.Context(intake), name)
        assert command is not None
        assert command.name == entry.name


@pytest.mark.parametrize("path", [path for path, _ in COMMANDS], ids="-".join)
def test_help_is_shown(path: tuple[str, ...], intake: Intake) -> None:
    said = intake(*path, "--help")
    assert said.status == 0
    assert said.out.startswith(f"Usage: intake {' '.join(path)} ")


@pytest.mark.parametrize("path", [path for path, _ in COMMANDS], ids="-".join)
def test_an_option_that_is_not_there_is_wrong_use(path: tuple[str, ...], intake: Intake) -> None:
    said = intake(*path, "--not-an-option")
    assert said.status == 2
    assert said.out == ""


@pytest.mark.parametrize("path", [path for path, _ in NEEDS_ARGUMENTS], ids="-".join)
def test_a_missing_argument_is_wrong_use(path: tuple[str, ...], intake: Intake) -> None:
    assert intake(*path).status == 2


@pytest.mark.parametrize(
    ("arguments", "shown"),
    [
        (("box", "close", "1", "--gross", "25300"), "kg"),
        (("box", "open", "--tare", "850"), "kg"),
        (("box", "open", "--size", "42 x 33 x 31"), "mm"),
        (("weigh", "1", "14"), "kg"),
        (("parcel", "14"), "kg"),
        (
            ("place", "make", "two shelves of 800 x 300 x 250 mm", "--room", "R", "--bookcase", "B", "--board", "18"),
            "mm",
        ),
    ],
)
def test_a_bare_number_is_no_quantity(arguments: tuple[str, ...], shown: str, stocked: Intake) -> None:
    said = stocked(*arguments)
    assert said.status == 2
    assert shown in said.err


@pytest.mark.parametrize("arguments", [("box", "close", "1", "--gross-g", "25300"), ("box", "open", "--tare-g", "850")])
def test_an_option_of_an_earlier_version_is_refused_with_the_one_of_today(
    arguments: tuple[str, ...], stocked: Intake
) -> None:
    said = stocked(*arguments)
    assert said.status == 2
    assert arguments[-2].removesuffix("-g") in said.err
