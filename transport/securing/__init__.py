"""What chains, friction and stops can hold: resistance against a push in every direction of the deck, by several models."""

__all__: list[str] = []
