"""Job numbers: every rule of "Text and numbers"."""

import math
import time
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from gcodekit.expr import (
    FUNCTIONS,
    PLACE_WORDS,
    ExprError,
    Quantity,
    as_number,
    evaluate,
    name_fault,
    resolve_dimensions,
)

INCH = 25.4
NAMES = {
    "a": Quantity(8.0),
    "pitch": Quantity(12.5),
    "wall": Quantity(INCH / 16, "length", True),
    "left": Quantity(-3.0, "length"),
    "half": Quantity(math.pi, "angle"),
}


def mm(text, *, units="mm", expect="length"):
    return evaluate(text, NAMES, units=units, expect=expect).value


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        pytest.param("3/8 in", Fraction(3, 8), id="fraction"),
        pytest.param("3 / 8in", Fraction(3, 8), id="fraction, spaced"),
        pytest.param("1 3/8 in", Fraction(11, 8), id="mixed with a space"),
        pytest.param("1-3/8 in", Fraction(11, 8), id="mixed with a hyphen"),
        pytest.param("1-3/8in", Fraction(11, 8), id="mixed, nothing apart"),
        pytest.param("-1-3/8 in", Fraction(-11, 8), id="minus a mixed number"),
        pytest.param("2 in - 3/8 in", Fraction(13, 8), id="subtraction"),
        pytest.param("2 * 1/16 in", Fraction(1, 8), id="times a fraction"),
        pytest.param("1/16 in * 2", Fraction(1, 8), id="fraction times"),
        pytest.param("1 3/8 in / 2", Fraction(11, 16), id="half a mixed number"),
        pytest.param("(3/8 in)/(2)", Fraction(3, 16), id="brackets"),
        pytest.param("7 thou", Fraction(7, 1000), id="thou"),
        pytest.param(".5 in", Fraction(1, 2), id="leading point"),
        pytest.param("a * 1/8 in", Fraction(1), id="name times a fraction"),
        pytest.param("3/8 in + 5 thou", Fraction(38, 100), id="two units of one kind"),
        pytest.param("sqrt(3 in * 12 in)", Fraction(6), id="root of an area"),
        pytest.param("hypot(3 in, 4 in)", Fraction(5), id="hypot"),
        pytest.param("(2 in)**3 / (1 in)**2", Fraction(8), id="powers tracked"),
        pytest.param("max(1 in, 20 mm)", Fraction(1), id="max over units"),
        pytest.param("abs(-1 in)", Fraction(1), id="abs"),
    ],
)
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_lengths_with_their_own_unit(text, inches, units):
    assert mm(text, units=units) == pytest.approx(float(inches) * INCH, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        pytest.param("2 * pitch", 25, id="times"),
        pytest.param("2 + 3 * 4", 14, id="times before plus"),
        pytest.param("(2 + 3) * 4", 20, id="brackets"),
        pytest.param("2 ** 3 ** 2", 512, id="power from the right"),
        pytest.param("-2 ** 2", -4, id="power before minus"),
        pytest.param("2 ** -1", 0.5, id="negative power"),
        pytest.param("7 - 2 - 1", 4, id="minus from the left"),
        pytest.param("8 / 2 / 2", 2, id="divided from the left"),
        pytest.param("sin(30)", 0.5, id="sine of degrees"),
        pytest.param("sin(30 deg)", 0.5, id="sine of said degrees"),
        pytest.param("tan(45)", 1, id="tangent"),
        pytest.param("cos(half)", -1, id="cosine of an angle's name"),
        pytest.param("asin(0.5)", 30, id="degrees out"),
        pytest.param("acos(0.5)", 60, id="acos"),
        pytest.param("atan(1)", 45, id="atan"),
        pytest.param("atan2(-1, -1)", -135, id="atan2"),
        pytest.param("atan2(wall, wall)", 45, id="atan2 of lengths"),
        pytest.param("wall / (1/32 in)", 2, id="length over length"),
        pytest.param("30 deg / 15 deg", 2, id="angle over angle"),
        pytest.param("3 in / 8 in", 0.375, id="ratio of two lengths"),
        pytest.param("min(3, 2, 5)", 2, id="min"),
        pytest.param("2 * pi", 2 * math.pi, id="pi"),
        pytest.param("1e2", 100, id="exponent"),
        pytest.param("1-3/8", 0.625, id="without a unit it is a subtraction"),
    ],
)
def test_plain_numbers(text, value):
    assert mm(text, expect="number") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "units", "expect", "value"),
    [
        pytest.param("2.5", "mm", "length", 2.5, id="mm"),
        pytest.param("2.5", "inch", "length", 2.5 * INCH, id="inch"),
        pytest.param("5 mm", "inch", "length", 5, id="mm in an inch job"),
        pytest.param("left + 5", "mm", "length", 2, id="place word"),
        pytest.param("left + 1", "inch", "length", INCH - 3, id="place word, inch"),
        pytest.param("90", "mm", "angle", math.pi / 2, id="degrees"),
        pytest.param("90", "inch", "angle", math.pi / 2, id="degrees, inch"),
        pytest.param("30 deg + 15", "mm", "angle", math.pi / 4, id="bare degrees"),
        pytest.param("4", "inch", "feed", 4 * INCH, id="inches a minute"),
        pytest.param("100", "mm", "feed", 100, id="mm a minute"),
        pytest.param("4 in", "mm", "feed", 4 * INCH, id="feed in inches"),
        pytest.param("1200", "inch", "speed", 1200, id="speed"),
        pytest.param("sqrt(3**2 + 4**2)", "inch", "length", 5 * INCH, id="bare root, inch"),
        pytest.param("3 * 8 / 2", "mm", "count", 12, id="count"),
        pytest.param("0.1 * 3 / 0.1", "mm", "count", 3, id="count to a rounding"),
    ],
)
def test_what_the_key_expects(text, units, expect, value):
    result = evaluate(text, NAMES, units=units, expect=expect)
    assert result.value == pytest.approx(value, rel=1e-12)
    assert result.warnings == ()


@pytest.mark.parametrize(
    ("text", "units", "value", "said"),
    [
        pytest.param("1/16 in + 2", "mm", 3.5875, "3.5875 mm (0.14124 in)", id="mm"),
        pytest.param("wall + 2", "mm", 3.5875, "3.5875 mm (0.14124 in)", id="through a name"),
        pytest.param("5 mm + 1", "inch", 30.4, "1.19685 in (30.4 mm)", id="inch"),
        pytest.param("5 - 1 in", "mm", -20.4, "-20.4 mm", id="bare first"),
        pytest.param("max(1 in, 30)", "mm", 30, "30 mm (1.1811 in)", id="max"),
        pytest.param("2 - 3/8 in", "mm", -7.525, "-7.525 mm", id="spaces make a subtraction"),
        pytest.param("1 - 3/8 in", "mm", -8.525, "-8.525 mm", id="spaces, whole number"),
    ],
)
def test_bare_number_meets_the_other_unit(text, units, value, said):
    result = evaluate(text, {"wall": Quantity(INCH / 16, "length", True)}, units=units)
    assert result.value == pytest.approx(value)
    (warning,) = result.warnings
    assert said in warning


@pytest.mark.parametrize(
    "text", ["1/16 in + 0", "0 + wall", "5 mm + 2", "1 in + 2 mm", "1 in * 2", "max(0, 1 in)"]
)
def test_no_warning(text):
    assert evaluate(text, NAMES, units="mm").warnings == ()


@pytest.mark.parametrize(
    ("text", "expect", "column", "message", "hint"),
    [
        pytest.param("a/8 in", "length", 3, "read in two ways", "a/(8 in)", id="name over"),
        pytest.param("2/3/8 in", "length", 3, "two ways", "2/(3/8 in)", id="twice divided"),
        pytest.param("(1+2)/8 in", "length", 7, "two ways", "brackets", id="bracket over"),
        pytest.param("3/-8 in", "length", 4, "two ways", "brackets", id="sign in between"),
        pytest.param("3/8-1/16 in", "length", 3, "two ways", "brackets", id="half a subtraction"),
        pytest.param("1-9/8 in", "length", 3, "itself 1 or more", "brackets", id="improper mixed"),
        pytest.param("1 3/8", "length", 3, "side by side", "1 3/8 in", id="mixed, no unit"),
        pytest.param("3/0 in", "length", 3, "division by zero", "", id="fraction over nought"),
        pytest.param("1/0", "number", 2, "division by zero", "", id="division by zero"),
        pytest.param("0**-1", "number", 2, "division by zero", "", id="0 to the minus one"),
        pytest.param(
            "30 deg", "length", 0, "an angle in place of a length", "deg", id="deg length"
        ),
        pytest.param("5 mm", "count", 0, "a length in place of a count", "", id="length count"),
        pytest.param("30 deg", "feed", 0, "an angle in place of a feed", "deg", id="angle feed"),
        pytest.param(
            "5 mm", "angle", 0, "a length in place of an angle", "degrees", id="length angle"
        ),
        pytest.param("2 in * 3 in", "length", 0, "an area", "", id="area"),
        pytest.param("1 / wall", "length", 0, "one over a length", "", id="reciprocal"),
        pytest.param("1 mm + 1 deg", "length", 6, "cannot be combined", "", id="mixed kinds"),
        pytest.param("sin(1 mm)", "number", 1, "sin of a length", "degrees", id="sine of length"),
        pytest.param("asin(2)", "number", 1, "asin of 2", "-1 to 1", id="asin of 2"),
        pytest.param("tan(90)", "number", 1, "no value", "", id="tan 90"),
        pytest.param("sqrt(-1)", "number", 1, "negative", "", id="root of minus one"),
        pytest.param("(-8)**0.5", "number", 5, "negative", "", id="odd power"),
        pytest.param("2 ** wall", "number", 3, "exponent", "plain", id="length exponent"),
        pytest.param("9**9**9**9", "number", 5, "too large", "", id="tower of powers"),
        pytest.param("1e400", "number", 1, "too large", "", id="huge literal"),
        pytest.param("1e300*1e300", "number", 6, "too large", "", id="huge product"),
        pytest.param("2,5", "length", 2, "comma", "2.5", id="decimal comma"),
        pytest.param("\u22125", "length", 1, "not allowed", "- of the keyboard", id="minus"),
        pytest.param("5\u00a0mm", "length", 2, "not allowed", "ordinary space", id="odd space"),
        pytest.param('3/8"', "length", 4, "not allowed", "in", id="inch mark"),
        pytest.param("5 MM", "length", 3, "between 5", "did you mean mm?", id="capitals"),
        pytest.param("2 a", "length", 3, "between 2", "*", id="implied product"),
        pytest.param("a mm", "length", 3, "must follow a number", "", id="suffix on a name"),
        pytest.param("(1+2) in", "length", 7, "must follow a number", "", id="suffix on brackets"),
        pytest.param("in", "length", 1, "no number before", "5 in", id="suffix alone"),
        pytest.param("pich", "length", 1, "not known", "", id="unknown"),
        pytest.param("walls", "length", 1, "not known", "did you mean wall?", id="near miss"),
        pytest.param("top - 1", "length", 1, "cannot be used here", "zero", id="place word"),
        pytest.param("sqrt 2", "number", 1, "has no brackets", "sqrt(", id="no brackets"),
        pytest.param("sqrt(1, 2)", "number", 1, "2 values", "give 1", id="too many"),
        pytest.param("(1 + 2", "number", 1, "not closed", ")", id="open bracket"),
        pytest.param("1 + 2)", "number", 6, "never opened", ")", id="extra bracket"),
        pytest.param("1 +", "number", 4, "not complete", "", id="not complete"),
        pytest.param("", "number", 0, "is empty", "", id="empty"),
        pytest.param("2 // 3", "number", 4, "in place of a number", "", id="floor division"),
        pytest.param("2 % 3", "number", 3, "not allowed", "", id="remainder"),
        pytest.param("a.real", "number", 2, "not allowed", "", id="attribute"),
        pytest.param("__import__('os')", "number", 1, "not allowed", "", id="code"),
        pytest.param("10001", "length", 0, "more than 10000 mm", "unit", id="too long"),
        pytest.param("2.5", "count", 0, "not a whole number", "", id="half a count"),
        pytest.param("37000", "angle", 0, "100 turns", "", id="too many turns"),
        pytest.param("(" * 60 + "1" + ")" * 60, "number", 41, "nested", "", id="nesting"),
        pytest.param("-" * 100 + "1", "number", 41, "nested", "", id="many minuses"),
        pytest.param("1+" * 300 + "1", "number", 0, "500 characters", "", id="long text"),
    ],
)
def test_faults(text, expect, column, message, hint):
    with pytest.raises(ExprError) as caught:
        evaluate(text, NAMES, units="mm", expect=expect)
    assert message in caught.value.message
    assert hint in caught.value.hint
    assert caught.value.column == column


@pytest.mark.parametrize(
    ("value", "expect", "message"),
    [
        pytest.param(True, "length", "true is not a number", id="truth value"),
        pytest.param(False, "count", "false is not a number", id="untruth"),
        pytest.param(math.nan, "length", "nan", id="not a number"),
        pytest.param(math.inf, "length", "inf", id="infinite"),
        pytest.param(-math.inf, "angle", "inf", id="minus infinite"),
        pytest.param(10**400, "count", "too large", id="integer beyond floats"),
        pytest.param(10001, "length", "more than 10000 mm", id="over ten metres"),
        pytest.param(2.5, "count", "not a whole number", id="half"),
        pytest.param([1, 2], "length", "[1, 2] is not a number", id="list"),
        pytest.param({}, "length", "is not a number", id="table"),
    ],
)
def test_raw_values_refused(value, expect, message):
    with pytest.raises(ExprError) as caught:
        as_number(value, units="mm", expect=expect)
    assert message in caught.value.message


def test_raw_values_taken():
    assert as_number(2, units="inch").value == 50.8
    assert as_number(2.5, units="mm").value == 2.5
    assert as_number("2 * a", NAMES, units="mm").value == 16
    assert as_number(90, units="mm", expect="angle").value == math.pi / 2
    assert as_number(3.0, units="inch", expect="count").value == 3
    with pytest.raises(ExprError):
        as_number(394, units="inch")  # 10.008 m


def test_huge_power_answers_at_once():
    start = time.perf_counter()
    for text in ("9**9**9**9", "2**99999", "(" * 39 + "1e9**99" + ")" * 39):
        with pytest.raises(ExprError):
            evaluate(text, {}, units="mm")
    assert time.perf_counter() - start < 0.5


# ------------------------------------------------------------------ dimensions


def test_dimensions_in_any_order():
    names, faults = resolve_dimensions(
        {"c": "a + b", "b": "2 * a", "a": 5, "w": "1/16 in", "x": "w * 2"}, "mm"
    )
    assert faults == ()
    assert (names["a"].value, names["b"].value, names["c"].value) == (5, 10, 15)
    assert names["c"].kind == "number"
    assert names["x"].kind == "length"
    assert names["x"].value == pytest.approx(3.175)
    assert names["x"].foreign


def test_a_bare_dimension_is_a_length_only_where_one_is_wanted():
    names, _ = resolve_dimensions({"n": 3, "pitch": 0.5}, "inch")
    assert evaluate("n * pitch", names, units="inch").value == pytest.approx(38.1)
    assert evaluate("n", names, units="inch", expect="count").value == 3


def test_circle_is_named_and_what_leans_on_it_follows():
    names, faults = resolve_dimensions({"a": "b + 1", "b": "c", "c": "b", "ok": 1}, "mm")
    own = [f for f in faults if not f.follows]
    assert [f.message for f in own] == ["refers back to itself: b -> c -> b"]
    assert [f.name for f in faults if f.follows] == ["a"]
    assert names["ok"].value == 1
    with pytest.raises(ExprError) as caught:
        evaluate("a * 2", names, units="mm")
    assert caught.value.follows


def test_two_circles_and_one_through_itself():
    _, faults = resolve_dimensions({"a": "b", "b": "a", "c": "c + 1"}, "mm")
    assert sorted(f.message for f in faults) == [
        "refers back to itself: a -> b -> a",
        "refers back to itself: c -> c",
    ]


def test_long_chain_of_dimensions():
    raw = {f"d{i}": f"d{i + 1} + 1" for i in range(5000)} | {"d5000": 0}
    names, faults = resolve_dimensions(raw, "mm")
    assert faults == ()
    assert names["d0"].value == 5000


@pytest.mark.parametrize(
    ("name", "message"),
    [
        pytest.param("sin", "a function", id="function"),
        pytest.param("pi", "a constant", id="constant"),
        pytest.param("in", "a unit", id="unit"),
        pytest.param("deg", "a unit", id="degrees"),
        pytest.param("left", "a side word", id="place word"),
        pytest.param("raw_top", "a side word", id="raw place word"),
        pytest.param("2a", "not a valid name", id="digit first"),
        pytest.param("_a", "not a valid name", id="underscore first"),
        pytest.param("a-b", "not a valid name", id="hyphen"),
        pytest.param("l\u00e4nge", "not a valid name", id="accent"),
        pytest.param("a b", "not a valid name", id="space"),
        pytest.param("", "not a valid name", id="empty"),
    ],
)
def test_names_refused(name, message):
    fault = name_fault(name)
    assert fault is not None
    assert message in fault[0]
    _, faults = resolve_dimensions({name: 1}, "mm")
    assert [f.name for f in faults] == [name]


def test_good_names_and_reserved_words():
    assert name_fault("wall_2") is None
    assert {"left", "raw_left", "faced", "centre"} <= PLACE_WORDS
    trigonometry = {"sin", "cos", "tan", "asin", "acos", "atan", "atan2"}
    assert set(FUNCTIONS) == trigonometry | {"sqrt", "hypot", "min", "max", "abs"}


def test_dimension_warning_is_kept():
    names, faults = resolve_dimensions({"w": "1 in", "x": "w + 2"}, "mm")
    (fault,) = faults
    assert (fault.name, fault.severity) == ("x", "warning")
    assert names["x"].value == pytest.approx(27.4)


# ------------------------------------------------------------------ laws

WORDS = ["1", "2.5", "3/8 in", "mm", "in", "deg", "+", "-", "*", "/", "**", "(", ")", ",", " "]
MORE = ["sin", "atan2(", "max(", "a", "wall", "left", "top", "9", "e5", "0", "pi", "half", "."]


@settings(max_examples=300, deadline=None)
@given(st.one_of(st.text(max_size=60), st.lists(st.sampled_from(WORDS + MORE)).map("".join)))
@example("1-" * 100 + "1/2 in")
def test_nothing_but_an_expression_error_is_ever_raised(text):
    start = time.perf_counter()
    for expect in ("length", "count", "angle"):
        try:
            value = evaluate(text, NAMES, units="mm", expect=expect).value
        except ExprError:
            continue
        assert math.isfinite(value)
    assert time.perf_counter() - start < 1


@settings(max_examples=100, deadline=None)
@given(st.dictionaries(st.sampled_from("abcdef"), st.text("abcdef+1 *", max_size=8)))
def test_dimensions_never_raise_and_answer_every_name(raw):
    names, faults = resolve_dimensions(raw, "mm")
    bad = {f.name for f in faults if f.severity == "error"}
    circles = [f.message.split(": ")[1].split(" -> ") for f in faults if "refers back" in f.message]
    at_fault = bad | {name for circle in circles for name in circle}
    assert set(names) == set(raw)
    assert {n for n, q in names.items() if math.isnan(q.value)} == at_fault


def _joined(parts):
    left, sign, right = parts
    return f"({left[0]}) {sign} ({right[0]})", _apply(sign, left[1], right[1])


def _apply(sign, a, b):
    if sign == "/":
        return a / b if b else None
    return {"+": a + b, "-": a - b, "*": a * b}[sign]


SOURCES = st.recursive(
    st.fractions(min_value=0, max_value=99, max_denominator=64).map(
        lambda f: (f"{f.numerator}/{f.denominator}", f.numerator / f.denominator)
    ),
    lambda inner: (
        st.tuples(inner, st.sampled_from("+-*/"), inner)
        .map(_joined)
        .filter(lambda made: made[1] is not None)
    ),
    max_leaves=8,
)


@settings(max_examples=200, deadline=None)
@given(SOURCES)
def test_arithmetic_is_that_of_floats(source):
    text, value = source
    assert evaluate(text, {}, units="mm", expect="number").value == value


@given(st.integers(0, 20), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_mixed_numbers_are_exact_fractions(whole, over, under):
    over %= under
    expected = float((whole + Fraction(over, under)) * Fraction(254, 10))
    for text in (f"{whole} {over}/{under} in", f"{whole}-{over}/{under} in"):
        assert evaluate(text, {}, units="mm").value == pytest.approx(expected, rel=1e-14)
