"""What chains, friction and stops can hold: resistance against a push in each direction, by several models."""

__all__: list[str] = []
