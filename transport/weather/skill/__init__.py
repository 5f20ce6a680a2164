"""What measurements teach: speed-up of the wind by sector from a mast campaign, what a forecast has been worth at the
mast, its calibration, and the factor alpha fitted on the site."""

__all__: list[str] = []
