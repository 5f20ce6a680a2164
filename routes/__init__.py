"""The road: a surveyed line becomes numbers for every few metres of it, each with its standard error.

Readers (`survey`) take CSV and GPX; `assess` returns the road as a Dataset; `fit` says where the vehicle does
not fit it.
"""

__all__: list[str] = []
