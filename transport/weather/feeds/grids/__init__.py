"""The grid of a file: regular, rotated or projected; where its nodes lie and which way its axes point."""

__all__: list[str] = []
