"""GRIB edition 2: scanned, decoded in a child process, put together over members and steps, told as a CF file would."""

__all__: list[str] = []
