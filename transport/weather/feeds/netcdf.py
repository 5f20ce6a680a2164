"""NetCDF files. Classic ones are read by scipy only: the NetCDF library fills the lost tail of a cut file with zeros.

What no reader can see: one flipped bit in uncompressed data that leaves a believable number. Compressed NetCDF4 has a
check value in each block; for any kind of file, `sha256` of [[weather.feed]] holds the provider's checksum.
"""

from collections.abc import Sequence
from pathlib import Path

from shared.errors import InputError
from transport.weather.feeds.box import Box, box_text
from transport.weather.feeds.raw import Job, Raw, extracted, extracted_many

__all__ = ["ENGINES", "STANDARD_NAMES", "read", "read_many"]

SCRIPT = Path(__file__).with_name("extract.py")

ENGINES = {b"\x89HDF\r\n\x1a\n": "netcdf4", b"CDF\x01": "scipy", b"CDF\x02": "scipy"}

STANDARD_NAMES = (
    *("time", "latitude", "longitude", "realization", "height", "forecast_reference_time", "forecast_period"),
    *("projection_x_coordinate", "projection_y_coordinate", "grid_longitude", "grid_latitude"),
    *("wind_speed", "wind_from_direction", "eastward_wind", "northward_wind", "wind_speed_of_gust"),
    *("x_wind", "y_wind"),
    *("air_temperature", "dew_point_temperature", "relative_humidity", "surface_air_pressure"),
    *("precipitation_amount", "precipitation_flux", "lwe_thickness_of_precipitation_amount", "lwe_precipitation_rate"),
    *("visibility_in_air", "surface_altitude"),
)


def read(path: Path, engine: str, box: Box | None = None) -> Raw:
    """Read the wanted variables of a file around the box, undecoded, with only the attributes that are understood.

    Errors: InputError if the reader fails, takes too long, or the file declares more data than allowed.
    Source: CF conventions (read).
    """
    return extracted(path, SCRIPT, box_text(box), engine, *STANDARD_NAMES)


def read_many(files: Sequence[tuple[Path, str]], box: Box | None = None) -> list[Raw | InputError]:
    """The same for many files with their engines, which loads the libraries once; a fault stands for a file."""
    return extracted_many(SCRIPT, [Job(path, (box_text(box), engine, *STANDARD_NAMES)) for path, engine in files])
