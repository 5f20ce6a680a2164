"""The platform trailer: groups and their pressure, tipping, axle-line and ground loads, attitude, one group lost.

`inputs` is the edge in, `assess` the edge out with `checked` and `reported`; `setting` and `remarks` lie between them.
`calculation` and the modules named `_lines` write the calculation lines; every other module is equations on arrays.
"""

__all__: list[str] = []
