"""A picture that a station sent, as bytes."""

from intake.edges.pictures import Loaded, load
from intake.edges.temp_files import temporary_file
from intake.errors import FileError


def load_received(data: bytes) -> Loaded:
    """Open a picture.

    Raises:
        FileError: it is not a picture that can be opened; the file is called "The picture".
    """
    with temporary_file("picture", data) as path:
        try:
            return load(path)
        except FileError as error:
            # The file that the person knows is on their phone; ours has a name that says nothing.
            raise FileError("The picture", error.why, error.remedy) from error
