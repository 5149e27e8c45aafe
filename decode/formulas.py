"""Derived channels: a small expression language over channels, safe to take from a stranger's map.

The text is parsed by Python's own parser and then rebuilt, node by node, from the few kinds allowed
here: what is not listed cannot run, and nothing is ever handed to `eval`. A value that is not
available stays so: comparisons and conditions with NaN give NaN, and so does a result that is not
finite (a division by zero).
"""

import ast
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from decode.errors import FormulaError
from decode.samples import FloatArray

Values = Mapping[str, FloatArray]
_Evaluate = Callable[[Values], Any]  # float or float64[n], as numpy broadcasts

LONGEST_TEXT: Final = 500  # characters; a formula of the trade fits a line
MOST_NODES: Final = 200
DEEPEST: Final = 30
LARGEST_EXPONENT: Final = 16.0  # no physical law of ours has a higher power
LARGEST_NUMBER: Final = 1e300
_LAMBDA: Final = "lambda__"  # `lambda` is a quantity here, but a keyword to Python's parser


def _known(*arguments: Any) -> Any:
    """True where every argument is available."""
    known = ~np.isnan(arguments[0])
    for argument in arguments[1:]:
        known = known & ~np.isnan(argument)
    return known


def _truth(condition: Any, *arguments: Any) -> Any:
    """1 or 0 as float, NaN where an argument is not available."""
    return np.where(_known(*arguments), condition, np.nan)


def _where(condition: Any, then: Any, otherwise: Any) -> Any:
    return np.where(_known(condition), np.where(condition != 0.0, then, otherwise), np.nan)


def _minimum(*arguments: Any) -> Any:
    lowest = arguments[0]
    for argument in arguments[1:]:
        lowest = np.minimum(lowest, argument)
    return lowest


def _maximum(*arguments: Any) -> Any:
    return -_minimum(*(-argument for argument in arguments))


def _clip(value: Any, low: Any, high: Any) -> Any:
    return np.minimum(np.maximum(value, low), high)


# name -> (function, fewest arguments, most arguments)
FUNCTIONS: Final[dict[str, tuple[Callable[..., Any], int, int]]] = {
    "abs": (np.abs, 1, 1),
    "sqrt": (np.sqrt, 1, 1),
    "exp": (np.exp, 1, 1),
    "log": (np.log, 1, 1),
    "min": (_minimum, 2, 8),
    "max": (_maximum, 2, 8),
    "clip": (_clip, 3, 3),
    "where": (_where, 3, 3),
}
_ARITHMETIC: Final[dict[type[ast.operator], Callable[[Any, Any], Any]]] = {
    ast.Add: np.add,
    ast.Sub: np.subtract,
    ast.Mult: np.multiply,
    ast.Div: np.divide,
    ast.Mod: np.mod,
    ast.FloorDiv: np.floor_divide,
}
_COMPARE: Final[dict[type[ast.cmpop], Callable[[Any, Any], Any]]] = {
    ast.Lt: np.less,
    ast.LtE: np.less_equal,
    ast.Gt: np.greater,
    ast.GtE: np.greater_equal,
    ast.Eq: np.equal,
    ast.NotEq: np.not_equal,
}
_ALLOWED: Final = (
    "allowed: numbers, channel names, + - * / // % **, < <= > >= == !=, and, or, not, "
    f"a if c else b, {', '.join(FUNCTIONS)}"
)


@dataclass(frozen=True)
class Formula:
    """A compiled formula. names: the channels it reads, in the order of the text."""

    text: str
    names: tuple[str, ...]
    _evaluate: _Evaluate

    @classmethod
    def parse(cls, text: str) -> "Formula":
        """Compile the text; raises FormulaError that says what is refused and what is allowed."""
        tree = _parse(text)
        nodes = [node for node in ast.walk(tree) if isinstance(node, ast.expr)]
        if len(nodes) > MOST_NODES:
            raise FormulaError(f"the formula has {len(nodes)} parts; at most {MOST_NODES}")
        called = {id(node.func) for node in nodes if isinstance(node, ast.Call)}
        names = [n for n in nodes if isinstance(n, ast.Name) and id(n) not in called]
        names.sort(key=lambda node: (node.lineno, node.col_offset))
        evaluate = _compile(tree, 0)
        if not names:
            raise FormulaError("the formula names no channel")
        return cls(text, tuple(dict.fromkeys(_channel(node) for node in names)), evaluate)

    def __call__(self, values: Values) -> FloatArray:
        """The result where each name has float64[n]; NaN where it is not available."""
        with np.errstate(all="ignore"):
            result = np.asarray(self._evaluate(values), dtype=np.float64)
        result = np.broadcast_to(result, values[self.names[0]].shape)
        return np.where(np.isfinite(result), result, np.nan)


def _parse(text: str) -> ast.expr:
    if len(text) > LONGEST_TEXT:
        raise FormulaError(f"the formula has {len(text)} characters; at most {LONGEST_TEXT}")
    source = re.sub(r"\blambda\b", _LAMBDA, text.strip())
    if not source.isascii():
        raise FormulaError(f"only ASCII characters stand in a formula; {_ALLOWED}")
    try:
        return ast.parse(source, mode="eval").body
    except (SyntaxError, ValueError, MemoryError, RecursionError) as error:
        reason = getattr(error, "msg", None) or type(error).__name__
        raise FormulaError(f"cannot be read: {reason}; {_ALLOWED}") from error


def _channel(node: ast.Name) -> str:
    return "lambda" if node.id == _LAMBDA else node.id


def _compile(node: ast.AST, depth: int) -> _Evaluate:
    if depth > DEEPEST:
        raise FormulaError(f"the formula is nested more than {DEEPEST} deep")
    compiler = _COMPILERS.get(type(node))
    if compiler is None:
        raise _refused(node)
    return compiler(node, depth + 1)


def _refused(node: ast.AST) -> FormulaError:
    column = getattr(node, "col_offset", 0) + 1
    return FormulaError(f"{type(node).__name__} at character {column} is refused; {_ALLOWED}")


def _number(node: ast.Constant, depth: int) -> _Evaluate:
    if isinstance(node.value, bool) or not isinstance(node.value, int | float):
        raise _refused(node)
    if abs(node.value) > LARGEST_NUMBER:
        raise FormulaError(f"a number at character {node.col_offset + 1} is too large")
    value = np.float64(node.value)
    return lambda values: value


def _name(node: ast.Name, depth: int) -> _Evaluate:
    name = _channel(node)
    return lambda values: values[name]


def _unary(node: ast.UnaryOp, depth: int) -> _Evaluate:
    operand = _compile(node.operand, depth)
    if isinstance(node.op, ast.USub):
        return lambda values: -operand(values)
    if isinstance(node.op, ast.UAdd):
        return operand
    if isinstance(node.op, ast.Not):
        return lambda values: (lambda x: _truth(x == 0.0, x))(operand(values))
    raise _refused(node)


def _binary(node: ast.BinOp, depth: int) -> _Evaluate:
    if isinstance(node.op, ast.Pow):
        return _power(node, depth)
    operation = _ARITHMETIC.get(type(node.op))
    if operation is None:
        raise _refused(node)
    left, right = _compile(node.left, depth), _compile(node.right, depth)
    return lambda values: operation(left(values), right(values))


def _power(node: ast.BinOp, depth: int) -> _Evaluate:
    exponent = _constant_exponent(node.right)
    base = _compile(node.left, depth)
    return lambda values: np.power(base(values), exponent)


def _constant_exponent(node: ast.expr) -> np.float64:
    sign = 1.0
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        sign, node = -1.0, node.operand
    value = node.value if isinstance(node, ast.Constant) else None
    if isinstance(value, bool) or not isinstance(value, int | float) or value > LARGEST_EXPONENT:
        raise FormulaError(
            f"the exponent at character {node.col_offset + 1} is refused; "
            f"allowed: a number from -{LARGEST_EXPONENT:g} to {LARGEST_EXPONENT:g}"
        )
    return np.float64(sign * value)


def _logic(node: ast.BoolOp, depth: int) -> _Evaluate:
    parts = [_compile(value, depth) for value in node.values]
    combine = np.all if isinstance(node.op, ast.And) else np.any

    def evaluate(values: Values) -> Any:
        arguments = np.broadcast_arrays(*(part(values) for part in parts))
        return _truth(combine([x != 0.0 for x in arguments], axis=0), *arguments)

    return evaluate


def _comparison(node: ast.Compare, depth: int) -> _Evaluate:
    unknown = [op for op in node.ops if type(op) not in _COMPARE]
    if unknown:
        raise _refused(unknown[0])
    operands = [_compile(operand, depth) for operand in (node.left, *node.comparators)]
    operations = [_COMPARE[type(op)] for op in node.ops]

    def evaluate(values: Values) -> Any:
        x = np.broadcast_arrays(*(operand(values) for operand in operands))
        held = [operation(x[i], x[i + 1]) for i, operation in enumerate(operations)]
        return _truth(np.all(held, axis=0), *x)

    return evaluate


def _conditional(node: ast.IfExp, depth: int) -> _Evaluate:
    condition, then, otherwise = (
        _compile(part, depth) for part in (node.test, node.body, node.orelse)
    )
    return lambda values: _where(condition(values), then(values), otherwise(values))


def _call(node: ast.Call, depth: int) -> _Evaluate:
    name = node.func.id if isinstance(node.func, ast.Name) else ""
    if name not in FUNCTIONS or node.keywords:
        raise _refused(node)
    function, fewest, most = FUNCTIONS[name]
    if not fewest <= len(node.args) <= most:
        wanted = str(fewest) if fewest == most else f"{fewest} to {most}"
        raise FormulaError(f"{name} takes {wanted} arguments, not {len(node.args)}")
    arguments = [_compile(argument, depth) for argument in node.args]
    return lambda values: function(*(argument(values) for argument in arguments))


_COMPILERS: Final[dict[type[ast.AST], Callable[[Any, int], _Evaluate]]] = {
    ast.Constant: _number,
    ast.Name: _name,
    ast.UnaryOp: _unary,
    ast.BinOp: _binary,
    ast.BoolOp: _logic,
    ast.Compare: _comparison,
    ast.IfExp: _conditional,
    ast.Call: _call,
}
