"""How much a forecast is worth at a place: calibration on a mast, verification, speed-up by wind sector."""

__all__: list[str] = []
