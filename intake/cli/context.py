"""What every command needs: the settings, the library when it is asked for, and somewhere to print."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table
from rich.text import Text

from intake.edges.settings import Settings
from intake.edges.store.library import Library, open_library
from intake.reading.decoders import Decoder, available, install_hint

PIPED_WIDTH = 140
"""Columns of a table that goes into a file or another program."""


def errors_console() -> Console:
    """Return a console on standard error, made anew so that a test can capture it."""
    return Console(stderr=True)


@dataclass
class CommandContext:
    """One run of one command."""

    settings: Settings
    out: Console = field(default_factory=lambda: Console(width=None if sys.stdout.isatty() else PIPED_WIDTH))
    _hinted: bool = False

    @contextmanager
    def library(self, *, create: bool = False) -> Iterator[Library]:
        """Open the library for the length of a command."""
        library = open_library(self.settings.library, create=create)
        try:
            yield library
        finally:
            library.close()

    def decoders(self) -> tuple[Decoder, ...]:
        """Return the decoders there are; say once, plainly, what is missing and how to install it."""
        missing = install_hint()
        if missing and not self._hinted:
            errors_console().print(missing, markup=False, highlight=False, soft_wrap=True)
            self._hinted = True
        return available()

    def say(self, text: str = "", style: str | None = None) -> None:
        """Print text as it is: a title may hold brackets."""
        self.out.print(text, style=style, markup=False, highlight=False, soft_wrap=True)

    def table(self, headings: Sequence[str], rows: Iterable[Sequence[str]], *, wraps: Sequence[str] = ()) -> None:
        """Print a table; the columns in `wraps` give way where the screen is narrow, numbers never do."""
        table = Table(box=None, header_style="bold", pad_edge=False)
        for heading in headings:
            table.add_column(heading, no_wrap=heading not in wraps, overflow="fold")
        for row in rows:
            table.add_row(*(Text(cell) for cell in row))
        self.out.print(table)

    @contextmanager
    def progress(self, title: str, total: int) -> Iterator[Progress]:
        """Show a bar on standard error where a person watches."""
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

PathArgument = click.Path(path_type=Path)
