"""`intake serve`: the desk, a local web page for a phone, a webcam, a handheld scanner and the keyboard."""

import sys
import webbrowser
from pathlib import Path

import click

from intake.cli import startup
from intake.cli.context import CommandContext, PathArgument, pass_context
from intake.errors import UsageError

IN_CLEAR = (
    "Without --tls everything travels in clear between a phone and this machine: the pairing code, scans, titles, "
    "pictures, values, and the key of the phone's session, with which a listener can act as that phone. "
    "Do this only in a network whose people you trust, or add --tls."
)


@click.command("serve")
@click.option("--port", default=8710, show_default=True, type=click.IntRange(0, 65535), help="0 takes a free one.")
@click.option("--lan", is_flag=True, help="Let phones of this household in, each by a pairing code.")
@click.option(
    "--tls", is_flag=True, help="Serve over TLS with a certificate of its own: needed for a phone's live camera."
)
@click.option("--open/--no-open", "opens", default=True, show_default=True, help="Open the browser.")
@click.option("--new", "is_new", is_flag=True, help="Make a new library where there is none.")
@click.option("--keys", type=PathArgument, help="Folder for the desk's own keys; else in your data folder.")
@pass_context
def serve_command(
    context: CommandContext, port: int, *, lan: bool, tls: bool, opens: bool, is_new: bool, keys: Path | None
) -> None:
    """Start the desk and open it in the browser; Ctrl-C stops it.

    Only this machine can reach it. With --lan a phone can be let in by a code that the page shows. The link that is
    printed opens the desk once; the next one is printed then.
    """
    from intake.desk.run import open_desk, serve  # noqa: PLC0415 - the desk is loaded only when it is served

    with context.library(create=is_new or _agrees(context.settings.library)) as library:
        opened = open_desk(
            library,
            context.decoders(),
            port=port,
            lan=lan,
            tls=tls,
            keys=keys,
            on_link=lambda link: context.say(f"That link was used. For another browser of this machine: {link}"),
        )
        if lan and opened.desk.endpoint.phone is None:
            opened.listening.close()
            raise UsageError(
                "--lan", "needs a network, and this machine is on none", "join the household's network first"
            )
        context.say(f"The desk is open: {opened.link}")
        if library.read_only:
            context.say("The library may only be read: its pages open, and every step is refused.", style="yellow")
        if lan:
            context.say("Phones: open 'Pair a phone' there, and let the phone's camera read the code.")
        if lan and not tls:
            context.say(IN_CLEAR, style="yellow")
        if tls:
            context.say("The browser warns once, because the desk makes its own certificate. Compare its SHA-256:")
            context.say(f"  {opened.desk.endpoint.fingerprint}")
        context.say("Ctrl-C stops it.")
        with startup.desk_log(context.settings.folder) as log:
            if log is None:
                context.say("The log of the desk cannot be written; the desk works without it.", style="yellow")
            serve(
                opened.desk,
                opened.listening,
                opened.certificates,
                started=lambda: webbrowser.open(opened.link) if opens else None,
                has_log=log is not None,
            )
    context.say("The desk is closed; everything acknowledged is kept.")


def _agrees(place: startup.LibraryPlace) -> bool:
    """Ask at the terminal whether a new library is to be made where there is none; elsewhere it is refused."""
    if not sys.stdin.isatty() or startup.is_library(place):
        return False
    return click.confirm(f"There is no library in {place}. Make a new one there?", default=False)


COMMANDS = (serve_command,)
