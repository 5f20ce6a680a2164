"""The only place where road, limits and weather meet: the limit rose against the gust, for every start."""

__all__: list[str] = []
