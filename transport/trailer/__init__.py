"""The platform trailer: hydraulic groups, tipping polygon, axle-line and ground loads, and the attitude of its deck.

`inputs` is the edge in, `assess` the edge out; every other module is equations on arrays.
"""

__all__: list[str] = []
