"""From a TOML file to a frozen model: every fault in one run, each with file, line, field, what and remedy."""

import difflib
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from shared.errors import Fault, InputError
from shared.text import clean

__all__ = ["Default", "Model", "defaults_of", "load_toml", "locating", "practice", "quantity"]

SIZE_LIMIT_BYTES = 2_000_000


class Model(BaseModel):
    """Base of every input table: strict types, no unknown field, frozen, no infinity and no NaN."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


class Default(NamedTuple):
    """A value the user did not give: the field, the practice value taken, and why."""

    field: str
    value: Any
    why: str


Loaded = TypeVar("Loaded", bound=Model)


def quantity(*, help: str = "", **bounds: Any) -> Any:
    """Declare a required field with its range and the remedy that an error must show."""
    return Field(..., json_schema_extra={"remedy": help}, **bounds)


def practice(default: Any, why: str, *, help: str = "", **bounds: float) -> Any:
    """Declare an optional field whose default is practice, not a published number; reports list it."""
    extra = {"remedy": help, "why": why, "status": "practice"}
    return Field(default, json_schema_extra=extra, **bounds)  # type: ignore[call-overload]


def load_toml(path: Path, kind: type[Loaded]) -> Loaded:
    """Read a TOML file into a model; raises InputError with all faults."""
    text = _text(path)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise InputError(_syntax_fault(path, str(problem))) from None
    try:
        return kind.model_validate(_prepared(data))
    except ValidationError as problem:
        lines = key_lines(text)
        faults = [_fault(path.name, kind, error, lines) for error in _telling(problem.errors())]
        raise InputError.of(sorted(faults, key=_line_number)) from None


@contextmanager
def locating(path: Path) -> Iterator[None]:
    """Give the faults that name a field of this file, but no place, the line where that field stands."""
    try:
        yield
    except InputError as problem:
        lines = key_lines(_text(path))
        raise InputError.of(_located(fault, path.name, lines) for fault in problem.faults) from None


def defaults_of(model: Model, prefix: str = "") -> Iterator[Default]:
    """Walk a loaded model and yield every practice default that was taken."""
    for name, field in type(model).model_fields.items():
        value, place = getattr(model, name), f"{prefix}{name}"
        extra = field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}
        if name not in model.model_fields_set and extra.get("status") == "practice":
            yield Default(place, value, str(extra["why"]))
        for number, item in enumerate(value if isinstance(value, tuple) else (value,)):
            if isinstance(item, Model):
                yield from defaults_of(item, f"{place}[{number}]." if isinstance(value, tuple) else f"{place}.")


def key_lines(text: str) -> dict[tuple[str | int, ...], int]:
    """Map each key path of a TOML text to the line where it stands (first line is 1)."""
    lines: dict[tuple[str | int, ...], int] = {}
    counts: dict[tuple[str | int, ...], int] = {}
    table: tuple[str | int, ...] = ()
    for number, line in enumerate(text.splitlines(), start=1):
        if match := re.match(r"\s*(\[\[?)\s*([^\]]+?)\s*\]", line):
            table = _table_path(match[2], counts, array=match[1] == "[[")
            lines.setdefault(table, number)
        elif match := re.match(r"\s*([\w.\"'-]+)\s*=", line):
            lines.setdefault((*table, *_parts(match[1])), number)
    return lines


def _table_path(name: str, counts: dict[tuple[str | int, ...], int], *, array: bool) -> tuple[str | int, ...]:
    path: tuple[str | int, ...] = ()
    *parents, last = _parts(name)
    for part in parents:
        path = (*path, part)
        if path in counts:
            path = (*path, counts[path])
    path = (*path, last)
    if array:
        counts[path] = counts.get(path, -1) + 1
        path = (*path, counts[path])
    return path


def _parts(name: str) -> tuple[str, ...]:
    return tuple(part.strip().strip("\"'") for part in name.split("."))


def _telling(errors: Sequence[ErrorDetails]) -> list[ErrorDetails]:
    """Without the "too few items" that only repeats that an item below it is wrong."""
    below = {error["loc"][:depth] for error in errors for depth in range(len(error["loc"]))}
    return [error for error in errors if error["type"] != "too_short" or error["loc"] not in below]


def _line_number(fault: Fault) -> int:
    return int(fault.where.rpartition(":")[2]) if ":" in fault.where else 0


def _text(path: Path) -> str:
    try:
        if path.exists() and not path.is_file():
            raise InputError(f"{path.name}: is not an ordinary file")
        size_bytes = path.stat().st_size
        if size_bytes > SIZE_LIMIT_BYTES:
            raise InputError(f"{path.name}: the file has {size_bytes} bytes, allowed up to {SIZE_LIMIT_BYTES}")
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise InputError(f"{path.name}: there is no such file in {path.parent.name or '.'}") from None
    except UnicodeDecodeError:
        raise InputError(f"{path.name}: the file is not UTF-8 text; save it as UTF-8") from None
    except OSError as problem:
        raise InputError(f"{path.name}: cannot be read ({problem.strerror})") from None


def _syntax_fault(path: Path, problem: str) -> Fault:
    match = re.search(r"\(at line (\d+), column \d+\)", problem)
    what = re.sub(r"\s*\(at .*\)", "", problem)
    return Fault(f"{path.name}:{match[1]}" if match else path.name, "", f"not valid TOML: {what}")


def _prepared(data: Any) -> Any:
    """Arrays become tuples, text loses its control characters."""
    if isinstance(data, Mapping):
        return {clean(key): _prepared(value) for key, value in data.items()}
    if isinstance(data, list):
        return tuple(_prepared(value) for value in data)
    return clean(data) if isinstance(data, str) else data


def _fault(file: str, kind: type[Model], error: ErrorDetails, lines: dict[tuple[str | int, ...], int]) -> Fault:
    path = error["loc"]
    line = next((lines[path[:n]] for n in range(len(path), -1, -1) if path[:n] in lines), 0)
    where = f"{file}:{line}" if line else file
    return Fault(where, _dotted(path), _message(kind, error))


def _located(fault: Fault, file: str, lines: dict[tuple[str | int, ...], int]) -> Fault:
    if fault.where or not fault.field:
        return fault
    parts = (part for word in fault.field.split(".") for part in re.findall(r"[^\[\]]+", word))
    path = tuple(int(part) if part.isdigit() else part for part in parts)
    line = next((lines[path[:n]] for n in range(len(path), 0, -1) if path[:n] in lines), 0)
    return fault._replace(where=f"{file}:{line}" if line else file)


def _dotted(path: tuple[str | int, ...]) -> str:
    return "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in path).lstrip(".")


def _message(kind: type[Model], error: ErrorDetails) -> str:
    owner, name = _owner(kind, error["loc"])
    if error["type"] == "extra_forbidden":
        near = difflib.get_close_matches(name, owner.model_fields if owner else (), n=1)
        return "unknown field" + (f" - did you mean '{near[0]}'?" if near else "")
    remedy = _remedy(owner, name)
    if error["type"] == "missing":
        return "field required" + remedy
    if error["type"] == "value_error":
        return str(error["msg"]).removeprefix("Value error, ")
    what = error["msg"][:1].lower() + error["msg"][1:]
    return f"{what} (got {_shown(error['input'])}){remedy}" + _near_choice(error)


def _owner(kind: type[Model], path: tuple[str | int, ...]) -> tuple[type[Model] | None, str]:
    names = [part for part in path if isinstance(part, str)]
    owner: type[Model] | None = kind
    for name in names[:-1]:
        field = owner.model_fields.get(name) if owner else None
        owner = _model_in(field.annotation) if field else None
    return owner, names[-1] if names else ""


def _model_in(annotation: Any) -> type[Model] | None:
    if isinstance(annotation, type) and issubclass(annotation, Model):
        return annotation
    inner = (_model_in(part) for part in getattr(annotation, "__args__", ()))
    return next((found for found in inner if found), None)


def _remedy(owner: type[Model] | None, name: str) -> str:
    field = owner.model_fields.get(name) if owner else None
    extra = field.json_schema_extra if field and isinstance(field.json_schema_extra, dict) else {}
    return f"; {extra['remedy']}" if extra.get("remedy") else ""


def _near_choice(error: ErrorDetails) -> str:
    if error["type"] != "literal_error" or not isinstance(error["input"], str):
        return ""
    choices = re.findall(r"'([^']+)'", str(error.get("ctx", {}).get("expected", "")))
    near = difflib.get_close_matches(error["input"], choices, n=1)
    return f" - did you mean '{near[0]}'?" if near else ""


def _shown(value: Any) -> str:
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."
