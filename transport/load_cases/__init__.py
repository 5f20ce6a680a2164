"""Actions on the unit put together, by name and clause: statutory, operation, earthquake, one chain or anchor lost."""

__all__: list[str] = []
