"""Limits of a light fabric cover in wind: contact, instability, hem, fastenings, strength, vents."""

__all__: list[str] = []
