import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from decode.errors import FormulaError
from decode.formulas import DEEPEST, FUNCTIONS, Formula


def value_of(text: str, **channels: float) -> float:
    return float(Formula.parse(text)({name: np.array([x]) for name, x in channels.items()})[0])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a - b", 4.0),
        ("-a + +b * 2", -2.0),
        ("a / b", 3.0),
        ("a // 4", 1.0),
        ("a % 4", 2.0),
        ("a ** 2", 36.0),
        ("a ** -1", 1 / 6),
        ("a < 7", 1.0),
        ("1 < b < a", 1.0),
        ("1 < b > a", 0.0),
        ("a > 5 and b > 5", 0.0),
        ("a > 5 or b > 5", 1.0),
        ("not a", 0.0),
        ("10 if a == 6 else 20", 10.0),
        ("abs(b - a)", 4.0),
        ("min(a, b, 1)", 1.0),
        ("max(a, b, 1)", 6.0),
        ("clip(a, 0, 5)", 5.0),
        ("where(a != 6, 1, b)", 2.0),
        ("sqrt(a + 3) + log(exp(b))", 5.0),
    ],
)
def test_arithmetic(text: str, expected: float) -> None:
    assert value_of(text, a=6.0, b=2.0) == pytest.approx(expected, rel=1e-15)


def test_names_come_in_the_order_of_the_text() -> None:
    assert Formula.parse("min(zeta, 1) - alpha / (zeta + lambda)").names == (
        "zeta",
        "alpha",
        "lambda",
    )


def test_the_order_of_the_text_goes_line_by_line() -> None:
    assert Formula.parse("(1000 + zeta +\nalpha)").names == ("zeta", "alpha")


def test_lambda_is_a_channel_here() -> None:
    assert value_of("14.7 * lambda", **{"lambda": 0.5}) == 7.35


@pytest.mark.parametrize(
    "text",
    [
        *("a + 1", "a > 1", "not a", "a and 1", "1 or a", "where(a, 1, 2)", "1 if a else 2"),
        *("min(a, 1)", "max(1, a)", "clip(a, 0, 1)", "0 / (a if 1 else 1)"),
    ],
)
def test_what_is_not_available_stays_so(text: str) -> None:
    assert math.isnan(value_of(text, a=math.nan))


@pytest.mark.parametrize("text", ["1 / a", "log(a)", "sqrt(a - 1)", "a % 0", "exp(1000 + a)"])
def test_a_result_that_is_not_finite_is_not_available(text: str) -> None:
    assert math.isnan(value_of(text, a=0.0))


def test_whole_columns_give_whole_columns() -> None:
    a = np.array([1.0, np.nan, 3.0])
    np.testing.assert_array_equal(Formula.parse("a > 2")({"a": a}), [0.0, np.nan, 1.0])
    np.testing.assert_array_equal(Formula.parse("a * 0 + 4")({"a": a}), [4.0, np.nan, 4.0])
    assert Formula.parse("a + 1")({"a": np.array([])}).shape == (0,)


ATTACKS = [
    "__import__('os').system('true')",
    "a.tofile('/tmp/x')",
    "a.__class__",
    "().__class__.__base__.__subclasses__()",
    "open('/etc/passwd')",
    "eval('1')",
    "[x for x in (1, 2)]",
    "{a: 1}",
    "{a}",
    "(a, b)",
    "a[0]",
    "a[::2]",
    "lambda: a",
    "(lambda x: x)(a)",
    "(a := 1)",
    "f'{a}'",
    "'a' * 10",
    "b'a'",
    "1j * a",
    "True",
    "None",
    "...",
    "9 ** 9 ** 9",
    "a ** b",
    "a ** 17",
    "a ** (8 + 8)",
    "2 ** True",
    "a << 100",
    "a @ a",
    "a & 1",
    "~a",
    "a in b",
    "a is b",
    "where(a, b)",
    "where(*a)",
    "min(a)",
    "min(a, key=b)",
    "abs.real",
    "sqrt(a)(b)",
    "print(a)",
    "await a",
    "yield a",
    "a; b",
    "a\nb",
    "a = 1",
    "",
    " ",
    "1 + 1",
    "a +",
    "a $ b",
    "ａ + 1",
    "a\x00",
    "9" * 400,
    "a + " * 130 + "a",
    "a" * 501,
    "(" * 240 + "a" + ")" * 240,
    "-" * (DEEPEST + 5) + "a",
    "not " * (DEEPEST + 5) + "a",
    "1e999 * a",
]


@pytest.mark.parametrize("text", ATTACKS)
def test_attacks_are_refused(text: str) -> None:
    with pytest.raises(FormulaError):
        Formula.parse(text)


def test_a_refusal_says_where_and_what_is_allowed() -> None:
    with pytest.raises(FormulaError, match=r"Attribute at character 5 is refused; allowed: num"):
        Formula.parse("1 + a.real")


NAMES = st.sampled_from(["a", "b", "1", "2.5", "0", "1e9"])
EXPRESSIONS = st.recursive(
    NAMES,
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from(["+", "-", "*", "/", "%", "//", "<", "==", "and"]), inner)
        .map(" ".join)
        .map("({})".format),
        st.tuples(inner, inner).map(lambda x: f"max({x[0]}, {x[1]})"),
        inner.map("-{}".format),
    ),
    max_leaves=12,
)


@settings(deadline=None, max_examples=200)
@given(EXPRESSIONS, st.floats(allow_nan=False, allow_infinity=False))
def test_one_value_at_a_time_or_a_column_is_the_same(text: str, a: float) -> None:
    try:
        formula = Formula.parse(f"a + b * 0 + {text}")
    except FormulaError:
        return
    column = {"a": np.array([a, 1.0, np.nan]), "b": np.array([2.0, np.nan, 0.0])}
    whole = formula(column)
    single = [formula({n: v[i : i + 1] for n, v in column.items()})[0] for i in range(3)]
    np.testing.assert_array_equal(whole, single)
    assert math.isnan(whole[1])
    assert math.isnan(whole[2])


@settings(deadline=None, max_examples=500)
@given(
    st.lists(
        st.sampled_from(
            [*"ab.()[]{}+-*/%<>=!,:'\"@&|^~ ", "lambda", "if", "**", "not", *FUNCTIONS]
        ),
        max_size=25,
    ).map("".join)
)
def test_any_text_is_a_formula_or_refused(text: str) -> None:
    try:
        formula = Formula.parse(text)
    except FormulaError:
        return
    channels = {name: np.array([0.5, np.nan]) for name in formula.names}
    assert formula(channels).shape == (2,)
