"""The move: what each check allows, when the weather allows it, and the papers that say so."""

__all__: list[str] = []
