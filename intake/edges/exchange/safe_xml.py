"""XML of other people, read element by element: no entity is expanded, no DTD loaded, nothing fetched.

A file that breaks off is not repaired: a parser that goes on invents the rest of the element it broke in.
"""

import codecs
import io
import re
from collections.abc import Iterator, Sequence
from html import unescape
from pathlib import Path
from typing import Protocol

from lxml import etree

from intake.edges.exchange.record_remarks import RecordError, RecordFault, RecordProblem
from intake.errors import FileError

HEAD_BYTES = 4096
LONGEST_ELEMENT = 64_000_000
"""Bytes of one element, or between two, above which a file is not read on: they are kept in memory many times over."""


def xml_head(first_bytes: bytes) -> str:
    """Return the beginning of a file as text where it is XML; empty where it is not.

    >>> xml_head(b'  <?xml version="1.0"?><a/>')
    '<?xml version="1.0"?><a/>'
    """
    is_utf16 = first_bytes.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    text = first_bytes[: HEAD_BYTES * 2].decode("utf-16" if is_utf16 else "utf-8-sig", errors="ignore").lstrip()
    return text if text.startswith("<") else ""


class ReadableBytes(Protocol):
    """What is read piece by piece."""

    def read(self, size: int = ..., /) -> bytes:
        """Return the next bytes, at most so many."""


def parsed(
    file: ReadableBytes, tags: Sequence[str], events: Sequence[str] = ("end",)
) -> Iterator[tuple[str, "etree._Element"]]:
    """Yield the elements with these tags as they begin or end; whoever takes them forgets them.

    Args:
        file: well-formed XML.
        tags: as lxml matches them ("{*}Product": in any namespace or none).
        events: "start", "end" or both.

    Raises:
        lxml.etree.XMLSyntaxError: it is not well formed.
    """
    parser: Iterator[tuple[str, etree._Element]] = etree.iterparse(
        file,
        events=tuple(events),
        tag=tuple(tags),
        load_dtd=False,
        no_network=True,
        resolve_entities=False,
        huge_tree=False,
        recover=False,
    )
    return parser


def forget(element: "etree._Element") -> None:
    """Let go of an element that was read whole, and of those before it."""
    element.clear()
    parent = element.getparent()
    while parent is not None and element.getprevious() is not None:
        del parent[0]


def elements(path: Path, tags: Sequence[str]) -> Iterator["etree._Element | RecordFault"]:
    """Yield the elements with these tags, each whole, and forget it afterwards.

    Args:
        path: the file.
        tags: as lxml matches them ("{*}Product": in any namespace or none).

    Returns:
        The elements; where the file is not well formed, a fault in place of the element that it breaks in, and the end.

    Raises:
        FileError: the file cannot be read.
    """
    count = 0
    try:
        with path.open("rb") as file:
            bounded = _BoundedReader(file)
            for _, element in parsed(bounded, tags):
                count += 1
                bounded.since_element = 0
                yield element
                forget(element)
    except etree.XMLSyntaxError as error:
        why = re.sub(r",? line \d+.*", "", str(error.msg or "not well formed"))
        facts: dict[str, str | int] = {"at": error.lineno or 0, "why": why}
        yield RecordFault(count + 1, RecordProblem.BROKEN_XML, facts)
    except RecordError as error:
        yield error.at(count + 1)
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check the path") from error


class _BoundedReader:
    """A file of which no more than `LONGEST_ELEMENT` bytes are read without an element that is wanted."""

    def __init__(self, file: io.BufferedReader) -> None:
        self.since_element = 0
        self._file = file

    def read(self, size: int = -1) -> bytes:
        """Read the next bytes.

        Raises:
            RecordError: too many were read without an element.
        """
        data = self._file.read(size)
        self.since_element += len(data)
        if self.since_element > LONGEST_ELEMENT:
            raise RecordError(RecordProblem.TOO_LONG, millions=LONGEST_ELEMENT // 1_000_000)
        return data


def text_of(element: "etree._Element") -> str:
    """Return the text of an element and of the markup in it, with blanks and line breaks run together.

    Raises:
        RecordError: it refers to an entity that is not one of HTML's, so that a part of the text is missing.
    """
    text = element.text or "" if not len(element) else _deep_text(element)
    return " ".join(text.split())


def _deep_text(element: "etree._Element") -> str:
    return (element.text or "") + "".join(_part(child) + (child.tail or "") for child in element)


def _part(child: "etree._Element") -> str:
    if child.tag is etree.Entity:
        meant = unescape(child.text or "")
        if meant == child.text:
            raise RecordError(RecordProblem.UNKNOWN_ENTITY, entity=meant)
        return meant
    return _deep_text(child) if isinstance(child.tag, str) else ""
