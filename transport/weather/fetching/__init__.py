"""Weather from an address: only where a feed has a url, whole or not at all; the copy from before where it fails."""

__all__: list[str] = []
