"""A page that needs nothing else: one file, no network, nothing run or drawn but what stands in it."""

import base64
import hashlib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from transport.reports.cautions import CAUTION, CAUTION_HEADING

__all__ = ["document"]

FOLDER = Path(__file__).parent


def document(template: str, heading: str, frame: Mapping[str, Any], script: str = "") -> str:
    """Fill a template of this folder, with the house's style, the caution, and a script if the page has one.

    The policy of the page allows its own style and script by their hashes, and no address at all.
    """
    css, js = _read("page.css"), _read(script) if script else ""
    given = {
        "heading": heading,
        "policy": _policy(css, js),
        "css": Markup(css),  # noqa: S704  our own file
        "js": Markup(js),  # noqa: S704  our own file
        "caution": CAUTION,
        "caution_heading": CAUTION_HEADING,
    }
    return _environment().get_template(template).render({**frame, **given})


def _policy(css: str, js: str) -> str:
    style, run = (base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() for text in (css, js))
    scripts = f"'sha256-{run}'" if js else "'none'"
    return (
        f"default-src 'none'; img-src data:; style-src 'sha256-{style}'; script-src {scripts}; "
        "base-uri 'none'; form-action 'none'"
    )


@cache
def _environment() -> Environment:
    return Environment(autoescape=True, undefined=StrictUndefined, loader=FileSystemLoader(FOLDER))


@cache
def _read(name: str) -> str:
    return (FOLDER / name).read_text(encoding="utf-8")
