"""Limits of a light fabric cover over the mirror in wind: contact, instability, hem, fastenings, strength, vents."""

__all__: list[str] = []
