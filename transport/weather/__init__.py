"""The weather: from forecast files to the gust at the load.

`feeds` brings files to one normal form and refuses what is structurally wrong; `quality` judges whether a feed is
fresh, complete and believable; the equations (density, profile, gust, orography, vectors, dew, sun) are plain
functions on arrays; `assess` puts them together for every station, time and member.
"""

__all__ = ["assess", "feeds", "inputs", "sun"]
