"""A short mark that ties every printed page to its inputs, version, options and clock."""

import hashlib
import json

from shared.assessment import Reported

__all__ = ["fingerprint"]


def fingerprint(result: Reported) -> str:
    """First 12 hex digits of the SHA-256 over version, clock, options and the hashes of the inputs, in order."""
    facts = result.provenance
    inputs = [[file.path, file.sha256] for file in facts.inputs]
    text = json.dumps([facts.version, facts.as_of.isoformat(), dict(sorted(facts.options.items())), inputs])
    return hashlib.sha256(text.encode()).hexdigest()[:12]
