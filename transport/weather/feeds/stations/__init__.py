"""Feeds that speak for one place: aerodrome forecasts and reports, logger files of a mast, NMEA 0183 logs."""

__all__: list[str] = []
