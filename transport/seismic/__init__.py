"""Earthquake demand during a move: chance, spectrum, deck, sliding, rocking, aftershocks, stop rules."""

__all__: list[str] = []
