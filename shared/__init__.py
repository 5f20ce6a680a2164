"""Foundation of glasshaul: units, errors, inputs, published numbers, vocabulary, datasets, provenance, output.

Knows nothing about roads or mirrors.
"""

__all__: list[str] = []
