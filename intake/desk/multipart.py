"""A form with files, as a browser sends it.

Sources: RFC 7578 (multipart/form-data), RFC 2046, 5.1.1 (the boundary); WHATWG HTML, "multipart form data" (how a
browser writes a quotation mark or a line break of a file's name).
"""

from dataclasses import dataclass
from email.message import Message
from urllib.parse import unquote

from intake.errors import UsageError

MEDIA_TYPE = "multipart/form-data"
MOST_PARTS = 300


@dataclass(frozen=True, slots=True)
class SentFile:
    """One file of a form; `name` is what the browser calls it, without any folder."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class SentForm:
    """What a form sent: its texts, as raw as they came, and its files; a field may have several files."""

    texts: tuple[tuple[str, str], ...]
    files: tuple[tuple[str, SentFile], ...]


def read_form(content_type: str, body: bytes) -> SentForm:
    """Read a form with files; a file field in which nothing was chosen is left out.

    Raises:
        UsageError: it is not one, or a text is not UTF-8.
    """
    boundary = str(_header("Content-Type", content_type).get_param("boundary", "") or "")
    if not boundary:
        raise _broken()
    # The line break before a boundary belongs to it; the first boundary may have none.
    pieces = (b"\r\n" + body).split(b"\r\n--" + boundary.encode("ascii", "replace"))
    if len(pieces) < 2 or len(pieces) > MOST_PARTS or not pieces[-1].startswith(b"--"):
        raise _broken()
    texts: list[tuple[str, str]] = []
    files: list[tuple[str, SentFile]] = []
    for piece in pieces[1:-1]:
        head, gap, data = piece.partition(b"\r\n\r\n")
        if not gap:
            raise _broken()
        field, file = _names(head)
        if file is None:
            texts.append((field, _text(data)))
        elif file or data:
            files.append((field, SentFile(file, data)))
    return SentForm(tuple(texts), tuple(files))


def _names(head: bytes) -> tuple[str, str | None]:
    """Return the name of the field, and of its file; None where the part is none."""
    for line in _text(head).split("\r\n"):
        name, colon, value = line.partition(":")
        if colon and name.strip().casefold() == "content-disposition":
            header = _header("Content-Disposition", value.strip())
            field = _escaped(header.get_param("name", "", "Content-Disposition"))
            file = header.get_param("filename", None, "Content-Disposition")
            return field, None if file is None else _escaped(file).replace("\\", "/").rpartition("/")[2]
    raise _broken()


def _escaped(value: object) -> str:
    """Return a parameter as it was meant: a browser writes quotation marks and line breaks as %22, %0D and %0A."""
    text = value if isinstance(value, str) else ""
    for code in ("%22", "%0D", "%0A"):
        text = text.replace(code, unquote(code))
    return text


def _header(name: str, value: str) -> Message:
    message = Message()
    message[name] = value.replace("\r", " ").replace("\n", " ")
    return message


def _text(data: bytes) -> str:
    try:
        return data.decode()
    except UnicodeDecodeError as error:
        raise UsageError("What was sent", "is not text in UTF-8", "send it from the desk's page") from error


def _broken() -> UsageError:
    return UsageError("What was sent", "is not a form that can be read", "send it from the desk's page")
