"""The command line: read, one call, show, exit status."""

__all__: list[str] = []
