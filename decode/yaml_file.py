"""YAML 1.2 files that users write: loaded with positions, validated, every mistake told at once.

A `Document` keeps the line and column of every key and value, so that whoever finds a mistake
(the YAML parser, the pydantic model, or a later check of the meaning) can say where it stands.
"""

import difflib
import types
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Final, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.constructor import RoundTripConstructor
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from decode.errors import InputFileError, Problem

M = TypeVar("M", bound=BaseModel)
Location = tuple[str | int, ...]
Subject = Callable[[Location], str]

LONGEST_SHOWN_VALUE: Final = 60  # characters of a wrong value that fit a terminal line
MOST_WORDS: Final = 60  # allowed words listed: all quantities, not all channels of a large map


class StrictModel(BaseModel):
    """Base of every model of a user's file: unknown keys are mistakes, values never change."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


def dotted(location: Location) -> str:
    """`channels.engine_speed.unit` for ("channels", "engine_speed", "unit")."""
    return ".".join(str(part) for part in location) or "file"


def with_suggestion(word: str, allowed: Iterable[str]) -> str:
    """`did you mean "x"? allowed: ...`; the hint only where one of the allowed words is near."""
    words = sorted(allowed)
    near = difflib.get_close_matches(word, words, n=1)
    hint = f'did you mean "{near[0]}"? ' if near else ""
    more = f" and {len(words) - MOST_WORDS} more" if len(words) > MOST_WORDS else ""
    return f"{hint}allowed: {', '.join(words[:MOST_WORDS])}{more}"


@dataclass(frozen=True)
class Document:
    """One parsed YAML file: `data` (mappings, lists, scalars) and where everything stands."""

    data: Any
    file: str
    subject: Subject = dotted
    duplicates: tuple[Problem, ...] = ()

    def position(self, location: Location, at_key: bool = False) -> tuple[int, int]:
        """Line and column, both from 1, of the value at `location`, or of its key.

        A location that leaves the document (a key that is missing, a tag that pydantic added)
        stands where its last known part stands.
        """
        line, column, node = 0, 0, self.data
        for index, part in enumerate(location):
            if not _holds(node, part):
                continue
            if isinstance(node, CommentedSeq):
                line, column = node.lc.item(part)
            elif part not in (node.lc.data or {}):
                pass  # merged from an anchor: stands where the mapping that merges it stands
            elif at_key or index < len(location) - 1:
                line, column = node.lc.key(part)
            else:
                line, column = _value_position(node, part)
            node = node[part]
        return line + 1, column + 1

    def problem(self, location: Location, message: str, at_key: bool = False) -> Problem:
        """A problem of the value (or the key) at `location`."""
        return Problem(*self.position(location, at_key), self.subject(location), message)

    def validate(
        self, data: object, model: type[M], under: Location = ()
    ) -> tuple[M | None, list[Problem]]:
        """`data`, which stands at `under`, as a model; or None and everything wrong with it."""
        try:
            return model.model_validate(_plain(data)), []
        except ValidationError as error:
            return None, [self._explain(details, model, under) for details in error.errors()]

    def _explain(self, details: Any, model: type[BaseModel], under: Location) -> Problem:
        kind, loc = details["type"], under + tuple(details["loc"])
        parent = self._inside(loc[:-1])
        if kind == "missing":
            return self.problem(parent, f'"{loc[-1]}" is missing', at_key=True)
        if kind == "extra_forbidden":
            allowed = field_names(model, tuple(details["loc"][:-1]))
            message = f'unknown key "{loc[-1]}"; {with_suggestion(str(loc[-1]), allowed)}'
            return self.problem((*parent, loc[-1]), message, at_key=True)
        return self.problem(self._inside(loc), _message(details))

    def _inside(self, location: Location) -> Location:
        """`location` without the parts that pydantic adds for the branches of a union."""
        kept: Location = ()
        node = self.data
        for part in location:
            if _holds(node, part):
                node, kept = node[part], (*kept, part)
        return kept


def _plain(node: Any) -> Any:
    """The data without ruamel's own number and text classes."""
    if isinstance(node, dict):
        return {_plain(key): _plain(value) for key, value in node.items()}
    if isinstance(node, list):
        return [_plain(item) for item in node]
    for kind in (bool, int, float, str):
        if isinstance(node, kind):
            return kind(node)
    return node


def _holds(node: object, part: str | int) -> bool:
    if isinstance(node, CommentedSeq):
        return isinstance(part, int) and 0 <= part < len(node)
    return isinstance(node, CommentedMap) and part in node


def _value_position(node: CommentedMap, key: str | int) -> tuple[int, int]:
    """Where the value of a key stands; a block on the next lines counts as standing at its key."""
    key_position = node.lc.key(key)
    value_position = node.lc.value(key)
    line, column = value_position if value_position[0] == key_position[0] else key_position
    return int(line), int(column)


def _message(details: Any) -> str:
    if details["type"] == "value_error":  # raised by our own validators, already in full words
        return str(details["ctx"]["error"])
    given = details["input"]
    if details["type"] in ("model_type", "dict_type"):
        return "must be a mapping (key: value)" + ("" if given else ", but is empty")
    if details["type"] == "union_tag_invalid":
        context = details["ctx"]
        word = context["discriminator"].strip("'")
        return f"{word} {context['tag']}; allowed: {context['expected_tags']}"
    if details["type"] == "enum" and isinstance(given, str):
        words = details["ctx"]["expected"].replace("'", "").replace(" or ", ", ").split(", ")
        return f'unknown word "{given}"; {with_suggestion(given, words)}'
    text = str(details["msg"]).replace("Input should be", "must be").replace("'", '"')
    if isinstance(given, dict | list):
        return text
    shown = repr(given) if isinstance(given, str) else str(given)
    return f"{text}, not {shown[:LONGEST_SHOWN_VALUE]}"


def field_names(annotation: object, location: Location) -> list[str]:
    """The keys allowed in the mapping at `location` of a value of this type."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        names = {f.alias or name: f for name, f in annotation.model_fields.items()}
        if not location:
            return list(names)
        known = names.get(str(location[0]))
        return field_names(known.annotation, location[1:]) if known else []
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return field_names(arguments[0], location)
    if origin in (Union, types.UnionType):
        return _names_of_branches(arguments, location)
    if origin is not None and arguments and location:
        return field_names(arguments[-1 if origin is dict else 0], location[1:])
    return []


def _names_of_branches(branches: Sequence[object], location: Location) -> list[str]:
    found = [name for branch in branches for name in field_names(branch, location)]
    if not found and location:  # the first part may be the name pydantic gives the branch
        return [name for branch in branches for name in field_names(branch, location[1:])]
    return list(dict.fromkeys(found))


@dataclass
class _Duplicates:
    """Keys that stand twice in one mapping, as the constructor meets them."""

    found: list[tuple[int, int, str, int]] = field(default_factory=list)


def _loader(duplicates: _Duplicates) -> YAML:
    class Constructor(RoundTripConstructor):
        def check_mapping_key(
            self, node: Any, key_node: Any, mapping: Any, key: Any, value: Any
        ) -> bool:
            if key not in mapping:
                return True
            mark = key_node.start_mark
            first = mapping.lc.data[key][0] + 1 if key in (mapping.lc.data or {}) else 0
            duplicates.found.append((mark.line + 1, mark.column + 1, str(key), first))
            return False

    yaml = YAML()  # round trip: the only loader of ruamel.yaml that keeps positions
    yaml.Constructor = Constructor
    return yaml


def parse_document(text: str, file: str, subject: Subject = dotted) -> Document:
    """The YAML text with its positions; a text that is no YAML raises InputFileError."""
    duplicates = _Duplicates()
    try:
        data = _loader(duplicates).load(text)
    except MarkedYAMLError as error:
        raise InputFileError(file, [_syntax_problem(error)]) from error
    except YAMLError as error:
        raise InputFileError(file, [Problem(1, 1, "YAML", _first_line(error))]) from error
    except (RecursionError, ValueError, TypeError, KeyError, IndexError) as error:
        message = f"cannot be read as YAML ({type(error).__name__}: {_first_line(error)})"
        raise InputFileError(file, [Problem(1, 1, "YAML", message)]) from error
    twice = tuple(
        Problem(line, column, key, f"stands twice, first in line {first}" if first else "twice")
        for line, column, key, first in duplicates.found
    )
    return Document(data, file, subject, twice)


def _syntax_problem(error: MarkedYAMLError) -> Problem:
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    message = ", ".join(str(part) for part in (error.context, error.problem) if part)
    return Problem(line, column, "YAML", message)


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or [""])[0]


def parse_yaml(text: str, file: str, model: type[M], subject: Subject = dotted) -> M:
    """The text as a model; raises InputFileError with every mistake and where it stands."""
    document = parse_document(text, file, subject)
    loaded, problems = document.validate(document.data, model)
    problems.extend(document.duplicates)
    if loaded is None or problems:
        raise InputFileError(file, problems)
    return loaded


def read_text(path: Path) -> str:
    """The text of a UTF-8 file; raises InputFileError where there is none."""
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        problem = Problem(1, 1, "file", f"cannot be opened: {error.strerror or error}")
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        problem = Problem(line, 1, "file", "is not UTF-8 text; save it as UTF-8")
    raise InputFileError(path, [problem])


def load_yaml(path: Path, model: type[M], subject: Subject = dotted) -> M:
    """The file as a model; raises InputFileError with every mistake and where it stands."""
    return parse_yaml(read_text(path), str(path), model, subject)
