"""Files that one command has learned and another reads again: JSON of one schema, checked to the last field."""

import json
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from shared.errors import Fault, InputError
from shared.inputs import Model

__all__ = ["load_learned", "text_of"]

SIZE_LIMIT_BYTES = 2_000_000

Loaded = TypeVar("Loaded", bound=Model)


def text_of(learned: Model) -> str:
    """The file as text: sorted keys, no NaN."""
    plain = learned.model_dump(mode="json", by_alias=True)
    return json.dumps(plain, sort_keys=True, allow_nan=False, ensure_ascii=False, indent=1) + "\n"


def load_learned(path: Path, kind: type[Loaded], what: str, command: str) -> Loaded:
    """Read such a file.

    Errors: InputError if the file is missing, too large, of another schema, or was changed by hand.
    """
    remedy = f"make it again with glasshaul {command}"
    try:
        if not path.is_file():
            raise InputError(Fault(path.name, "", f"there is no such file in {path.parent.name or '.'}; {remedy}"))
        if path.stat().st_size > SIZE_LIMIT_BYTES:
            raise InputError(Fault(path.name, "", f"the file is larger than {SIZE_LIMIT_BYTES} bytes; {remedy}"))
        return kind.model_validate_json(path.read_bytes())
    except OSError as problem:
        raise InputError(Fault(path.name, "", f"cannot be read ({problem.strerror})")) from None
    except ValidationError as problem:
        first = problem.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        told = f"is no {what} that this version reads ({first['msg']}); {remedy}"
        raise InputError(Fault(path.name, where, told)) from None
