"""Holding, climbing, stopping and parking the train on the grade, and what the load feels of it and of the road.

`inputs` is the edge in, `assess` the edge out; every other module is equations on arrays.
"""

__all__: list[str] = []
