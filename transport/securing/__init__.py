"""What chains, friction and stops hold against a push in each direction, by several models, whole and with a part lost.

By stops or by direct chains, never by both together. `inputs` is the edge in, with the fields and faults of its tables;
`assess` is the edge out, with remarks and doubts; every other module is equations on arrays.
"""

__all__: list[str] = []
