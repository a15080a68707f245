"""What a person may set once: where the library folder is and what this station is called."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

LIBRARY_VARIABLE = "INTAKE_LIBRARY"
STATION_VARIABLE = "INTAKE_STATION"


@dataclass(frozen=True, slots=True)
class Settings:
    """Read once where a command starts, then passed on as plain values.

    Attributes:
        library: the folder that holds the database, the pictures and the backups.
        station: what the ledger calls this phone, desk or command line.
    """

    library: Path
    station: str = "cli"


def read(library: Path | None = None, environment: Mapping[str, str] | None = None) -> Settings:
    """Read the settings: a folder named on the command line, else in the environment, else the user's data folder."""
    names = os.environ if environment is None else environment
    named = names.get(LIBRARY_VARIABLE)
    folder = library or (Path(named) if named else user_data_path("intake") / "library")
    return Settings(library=folder, station=names.get(STATION_VARIABLE) or "cli")
