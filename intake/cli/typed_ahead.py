"""What was typed at the terminal and not read by the command: taken and told, so that the shell does not run it.

A handheld scanner types on, whatever became of the command that it types for.
"""

import os
import sys

LARGEST = 65_536


def take_typed_ahead() -> tuple[str, ...]:
    """Take the lines that wait at the terminal; none where standard input is not one."""
    if not sys.stdin.isatty():
        return ()
    return tuple(line for line in _waiting().decode("utf-8", "replace").splitlines() if line.strip())


def _waiting() -> bytes:
    try:
        import select  # noqa: PLC0415 - only where there is one
        import termios  # noqa: PLC0415 - not on Windows
    except ImportError:
        return _waiting_on_windows()
    file = sys.stdin.fileno()
    data = b""
    while len(data) < LARGEST and select.select([file], [], [], 0)[0] and (part := os.read(file, 4096)):
        data += part
    termios.tcflush(file, termios.TCIFLUSH)  # a line without its end, which reading leaves there
    return data


def _waiting_on_windows() -> bytes:
    import msvcrt  # noqa: PLC0415 - only there

    text = ""
    while msvcrt.kbhit():  # type: ignore[attr-defined] # only on Windows
        text += msvcrt.getwch()  # type: ignore[attr-defined] # as above
    return text.encode()
