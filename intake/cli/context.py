"""What every command needs: the settings, the library when it is asked for, and the console."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import click

from intake.cli import startup
from intake.errors import IntakeError

if TYPE_CHECKING:
    from rich.console import Console
    from rich.progress import Progress

    from intake.cli.startup import Decoder, Library

_EXPECTED = (IntakeError, OSError, MemoryError, click.ClickException, click.Abort, click.exceptions.Exit)

PIPED_WIDTH = 140
"""Columns of a table that goes into a file or another program."""


def errors_console() -> Console:
    """Return a console on standard error, made anew so that a test can capture it."""
    from rich.console import Console  # noqa: PLC0415 - help and version print without it

    return Console(stderr=True)


def say_aside(sentence: str) -> None:
    """Print a sentence on standard error, beside what the command returns."""
    errors_console().print(sentence, style="yellow", markup=False, highlight=False, soft_wrap=True)


def say_error(sentence: str) -> None:
    """Print on standard error why a command cannot go on."""
    errors_console().print(sentence, style="bold", markup=False, highlight=False, soft_wrap=True)


@dataclass
class CommandContext:
    """One run of one command."""

    settings: startup.Settings
    _hinted: bool = False

    @cached_property
    def out(self) -> Console:
        """Return the console on standard output."""
        from rich.console import Console  # noqa: PLC0415 - as above

        return Console(width=None if sys.stdout.isatty() else PIPED_WIDTH)

    @contextmanager
    def library(self, *, create: bool = False, dry_run: bool = False) -> Iterator[Library]:
        """Open the library for the length of a command; for a dry run its folder stays as it is."""
        if dry_run:
            with startup.look_at_library(self.settings.library) as looked_at:
                yield looked_at
            return
        library = startup.open_library(self.settings.library, create=create, on_wait=say_aside)
        if library.is_new:
            self.say(f"Made a new library in {self.settings.library}.")
            self.say_own_folder()
        library.on_first_write = lambda: self._say_not_whole(library)
        try:
            yield library
            self._back_up_daily(library)
        except _EXPECTED:
            raise
        except Exception as error:
            from intake.flow.safekeeping.damage import damage_of  # noqa: PLC0415 - most commands meet no such error

            if damage := damage_of(library):
                raise damage from error
            raise
        finally:
            library.close()

    def _say_not_whole(self, library: Library) -> None:
        """Say aside, before anything is written, where the library was found not whole."""
        from intake.flow.safekeeping.not_whole import not_whole_words  # noqa: PLC0415 - most commands change nothing

        if caution := not_whole_words(library.folder):
            say_aside(f"Caution: {caution}")

    def say_own_folder(self) -> None:
        """Say where what belongs to this machine is, if the library is on a server."""
        if isinstance(self.settings.library, startup.ServerAddress):
            self.say(f"Settings, daily backups and logs of this machine are in {self.settings.folder}.")

    def has_library(self) -> bool:
        """Return whether there is something to open: a folder, which may be anything, or a library on a server."""
        place = self.settings.library
        return startup.is_library(place) if isinstance(place, startup.ServerAddress) else place.exists()

    def _back_up_daily(self, library: Library) -> None:
        """Write the archive of the day after its first change, where the library is set so; a failure ends nothing."""
        if not library.was_written:
            return
        from intake.flow.safekeeping.backups import back_up_daily  # noqa: PLC0415 - most commands change nothing

        try:
            archive = back_up_daily(library, startup.now(), startup.today())
        except IntakeError as error:
            self.say(f"The daily backup was not written: {error}", style="yellow")
        else:
            if archive is not None:
                self.say(f"Wrote the daily backup {archive}.")

    def say_end_caution(self, library: Library) -> None:
        """Say aside, before a file is written, where the end of the ledger was cut off or altered."""
        from intake.flow.safekeeping.before_papers import end_caution  # noqa: PLC0415 - most commands do without

        if caution := end_caution(library):
            say_aside(caution)

    def decoders(self) -> tuple[Decoder, ...]:
        """Return the decoders that are installed; say once what is missing and how to install it."""
        missing = startup.missing_decoder()
        if missing and not self._hinted:
            errors_console().print(missing, markup=False, highlight=False, soft_wrap=True)
            self._hinted = True
        return startup.decoders()

    def say(self, text: str = "", style: str | None = None) -> None:
        """Print text as it is: a title may contain brackets."""
        self.out.print(text, style=style, markup=False, highlight=False, soft_wrap=True)

    def say_left_out(self, total: int, shown: int | None, how: str = "--all shows them") -> None:
        """Say that a list was cut, and how to see the rest; nothing where all of it was shown, as for None."""
        if shown is not None and total > shown:
            self.say(f"  … and {total - shown} more; {how}")

    def table(self, headings: Sequence[str], rows: Iterable[Sequence[str]], *, wraps: Sequence[str] = ()) -> None:
        """Print a table; the columns in `wraps` give way where the screen is narrow, numbers never do."""
        from rich.table import Table  # noqa: PLC0415 - as above
        from rich.text import Text  # noqa: PLC0415 - as above

        table = Table(box=None, header_style="bold", pad_edge=False)
        for heading in headings:
            table.add_column(heading, no_wrap=heading not in wraps, overflow="fold")
        for row in rows:
            table.add_row(*(Text(cell) for cell in row))
        self.out.print(table)

    @contextmanager
    def progress(self, title: str, total: int | None) -> Iterator[Progress]:
        """Show a bar on standard error where a person watches; the total may become known later."""
        from rich.progress import (  # noqa: PLC0415 - as above
            BarColumn,
            MofNCompleteColumn,
            Progress,
            TextColumn,
            TimeRemainingColumn,
        )

        bar = Progress(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            TimeRemainingColumn(),
            console=errors_console(),
            transient=True,
            disable=not sys.stderr.isatty(),
        )
        with bar:
            bar.add_task(title, total=total)
            yield bar


pass_context = click.make_pass_decorator(CommandContext)


class _FilePath(click.Path):
    """The path of a file or a folder; a URL, which may have a password in it, is none."""

    def convert(
        self, value: str | os.PathLike[str], param: click.Parameter | None, ctx: click.Context | None
    ) -> str | bytes | os.PathLike[str]:
        place = startup.place_of(os.fspath(value))
        if isinstance(place, startup.ServerAddress):
            self.fail(f"{place} is a URL, and a file or folder is named here; a library is named by --library.")
        return super().convert(value, param, ctx)


PathArgument = _FilePath(path_type=Path, readable=False)

SHOW_ALL = click.option("--all", "show_all", is_flag=True, help="Show every line of the lists.")
"""For commands that else show the first lines of a long list."""

DRY_RUN = click.option("--dry-run", is_flag=True, help="Show what would change, and write nothing.")
