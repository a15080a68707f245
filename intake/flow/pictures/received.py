"""A picture that a station sent, as bytes."""

from pathlib import Path

from intake.edges.pictures import Loaded, load
from intake.edges.temp_files import temporary_file
from intake.errors import FileError
from intake.model.sightings import NAMELESS, Picture


def load_received(data: bytes) -> Loaded:
    """Open a picture.

    Raises:
        FileError: it is not a picture that can be opened; the file is called "The picture".
    """
    with temporary_file(NAMELESS, data) as path:
        try:
            return load(path)
        except FileError as error:
            # The file that the person knows is on their phone; ours has a name that means nothing to them.
            raise FileError("The picture", error.why, error.remedy) from error


def picture_record(path: Path) -> Picture:
    """Return the record that a picture file would have in the library.

    Raises:
        FileError: it is not a picture that can be opened.
    """
    return load(path).record
