"""The demonstration's opened box: one picture of many books, compared with the list before any is taken out."""

from collections.abc import Callable, Sequence
from pathlib import Path

from intake.edges import demo_scans
from intake.edges.store.library import Library
from intake.flow.unpacking.box_scene import look_into_box
from intake.flow.unpacking.box_scene_words import scene_lines
from intake.identifiers.own import serial_of
from intake.reading.decoders import Decoder

WriteLine = Callable[[str], None]


def look_into(library: Library, scans: Path, box: str, decoders: Sequence[Decoder], write_line: WriteLine) -> None:
    """Say what the picture of an opened box shows, if one was taken; nothing is booked."""
    picture = demo_scans.opened(scans, serial_of(box))
    if picture is None:
        return
    write_line(f"  {picture.parent.name}/{picture.name}  one picture of the opened box:")
    for line in scene_lines(look_into_box(library, box, [picture], decoders, spines=False), box):
        write_line(f"    {line}")
