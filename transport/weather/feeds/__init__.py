"""From what a site really has, a file or an address, to one normal form; what cannot be understood is refused."""

__all__: list[str] = []
