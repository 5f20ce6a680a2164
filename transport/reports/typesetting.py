"""From a template and data to a PDF that stays readable: PDF/A-3a with tags (PDF/UA-1), same input, same bytes.

Data reach the template as JSON text and are never read as markup. The exporter checks conformance; no independent
validator has confirmed it.
"""

import json
import logging
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import typst

from transport.reports.glyphs import FONT_FOLDER, printable

__all__ = ["formula_works", "page_count", "typeset"]

FOLDER = Path(__file__).parent
LOG = logging.getLogger(__name__)


def typeset(template: str, data: Mapping[str, Any], as_of: datetime) -> bytes:
    """Set the template of this folder with the data; the clock of the run is the date of the document."""
    pdf, warnings = typst.compile_with_warnings(  # type: ignore[call-overload]  # stubs tie root to the input
        (FOLDER / template).read_bytes(),
        root=str(FOLDER),
        font_paths=_fonts(),
        format="pdf",
        sys_inputs={"data": json.dumps(printable(data), allow_nan=False)},
        pdf_standards=["a-3a", "ua-1"],
        timestamp=as_of,
    )
    for warning in warnings:
        LOG.warning("%s: %s", template, warning.message)
    if not isinstance(pdf, bytes):
        raise TypeError(f"{template}: the typesetter gave no document")
    return pdf


def page_count(template: str, data: Mapping[str, Any]) -> int:
    """How many pages the data take."""
    inputs = {"data": json.dumps(printable(data), allow_nan=False)}
    pages = typst.compile(  # type: ignore[call-overload]
        (FOLDER / template).read_bytes(), root=str(FOLDER), font_paths=_fonts(), format="svg", sys_inputs=inputs
    )
    return len(pages) if isinstance(pages, list) else 1


def formula_works(formula: str) -> bool:
    """Whether the mathematics of a calculation line can be set."""
    try:
        typst.compile(f"$ {formula} $".encode(), font_paths=_fonts(), format="svg")
    except typst.TypstError:
        return False
    return True


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, font_paths=[str(FONT_FOLDER)])
