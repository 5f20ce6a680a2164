"""Actions on the unit put together, by name and clause: statutory, operation, earthquake, any one part lost.

What they ask is compared with what is held: by code and level, and as a polytope of pushes. `assess` is the edge out;
the modules named `_sheet` and `movement` write the calculation lines; every other module is equations on arrays.
"""

__all__: list[str] = []
