"""Numbers, expressions, functions and parameters, with the section of NISTIR 6556 beside each."""

from __future__ import annotations

import math
from itertools import permutations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from gcodekit.rs274 import ReadProgram, read_program


def read(*lines: str, parameters: dict[int, float] | None = None) -> ReadProgram:
    return read_program("\n".join([*lines, "M2"]), parameters=parameters)


def x_of(*lines: str) -> float:
    """Where X stands at the end of a program with nothing wrong."""
    reading = read("G0 X0 Y0 Z0", *lines)
    assert reading.errors == ()
    return reading.moves[-1].end[0]


VALUES = [
    # 3.3.2.3
    ("[2.0 / 3 * 1.5 - 5.5 / 11.0]", 0.5),
    # C.2
    ("[1 + 2]", 3),
    ("[1 - 2]", -1),
    ("[1 --3]", 4),
    ("[2/5]", 0.4),
    ("[3.0 * 5]", 15),
    ("[0 OR 0]", 0),
    ("[0 OR 1]", 1),
    ("[2 or 2]", 1),
    ("[0 AND 0]", 0),
    ("[0 AND 1]", 0),
    ("[2 and 2]", 1),
    ("[0 XOR 0]", 0),
    ("[0 XOR 1]", 1),
    ("[2 xor 2]", 0),
    ("[15 MOD 4.0]", 3),
    ("[1 + 2 * 3 - 4 / 5]", 6.2),
    ("sin[30]", 0.5),
    ("cos[0.0]", 1),
    ("tan[60.0]", 1.7320508),
    ("sqrt[3]", 1.7320508),
    ("atan[1.7321]/[1.0]", 60.0007),
    ("asin[1.0]", 90),
    ("acos[0.707107]", 44.99998),
    ("abs[20.0]", 20),
    ("abs[-1.23]", 1.23),
    ("round[-0.499]", 0),
    ("round[-0.5001]", -1),
    ("round[2.444]", 2),
    ("round[9.975]", 10),
    ("fix[-0.499]", -1),
    ("fix[-0.5001]", -1),
    ("fix[2.444]", 2),
    ("fix[9.975]", 9),
    ("fup[-0.499]", 0),
    ("fup[-0.5001]", 0),
    ("fup[2.444]", 3),
    ("fup[9.975]", 10),
    # 3.3.2.4
    ("fix[2.8]", 2),
    ("fix[-2.8]", -3),
    ("fup[2.8]", 3),
    ("fup[-2.8]", -2),
    # C.2
    ("exp[2.3026]", 10.00015),
    ("ln[10.0]", 2.3026),
    ("[2 ** 3.0]", 8),
    ("sqrt[3**2 + 4**2]", 5),
    ("[1 + acos[0] - [#3 ** [4.0/2]]]", -134),
    ("[2 + asin[1/2.1+-0.345] / [atan[fix[4.4] * 2.1 * sqrt[16.8]] /[-18]]**2]", 2.000545),
    # the quadrant is that of both numbers (the report leaves it open)
    ("atan[-1]/[-1]", -135),
    # 3.3.2.2: the sign # binds tighter than any operator
    ("[#3+2]", 17),
    ("#[1+2]", 15),
    ("##4", 15),
    # 3.3.2.3: left to right within a rank
    ("[2 ** 3 ** 2]", 64),
    ("[8 / 4 / 2]", 1),
    ("[10 - 4 - 3]", 3),
    ("[7 MOD 4 * 2]", 6),
    ("[1 OR 1 - 1]", 0),
    # MOD is never negative (common practice, no source)
    ("[-1 MOD 4]", 3),
    ("[-1 MOD -4]", 3),
    # 3.3.2.1
    ("+.5", 0.5),
    ("-5.", -5),
    ("000012", 12),
    ("1 2 . 5", 12.5),
]


@pytest.mark.parametrize(("text", "value"), [pytest.param(t, v, id=t) for t, v in VALUES])
def test_value(text: str, value: float) -> None:
    assert x_of("#3=15 #4=3", f"G0 X{text}") == pytest.approx(value, abs=6e-5)
    # case and blanks mean nothing
    assert x_of("#3=15 #4=3", f"g0 x {text.upper()}") == pytest.approx(value, abs=6e-5)
    assert x_of("#3=15 #4=3", f"G0X{text.lower()}".replace(" ", "\t")) == pytest.approx(
        value, abs=6e-5
    )


@pytest.mark.parametrize(
    ("lines", "x"),
    [
        # C.2, 3.3.3: what a line sets is in force after the line
        pytest.param(["x [2 ** 3.0] #1=2.0"], 8, id="set beside"),
        pytest.param(["#1=2.0", "##1 = 0.375", "x #2 #3=7.0"], 0.375, id="set by way of another"),
        pytest.param(["#3=7.0", "#3=5.0 x #3"], 7, id="old value, set before"),
        pytest.param(["#3=5.0", "x #3 #3=1.1"], 5, id="old value, set after"),
        # 3.3.3
        pytest.param(["#3=15", "#3=6 G1 x#3 F1"], 15, id="old value with a motion"),
        pytest.param(["#3=15", "#3=6 G1 x#3 F1", "x#3"], 6, id="new value on the next line"),
        # 3.3.5: set twice, the last counts
        pytest.param(["#3=15 #3=6", "x#3"], 6, id="set twice"),
        pytest.param(["#3=1 #4=2", "#3=#4 #4=#3", "x[#3*10+#4]"], 21, id="exchanged"),
    ],
)
def test_parameters_are_set_after_the_line_is_read(lines: list[str], x: float) -> None:
    assert x_of(*lines) == pytest.approx(x)


def test_order_of_items_means_nothing() -> None:
    # 3.3.6: `g40 g1 #3=15 (foo) #4=-7.0`, all 120 orders
    found = {
        (tuple(sorted(r.parameters.items())), r.moves[-1], r.problems)
        for items in permutations(["g40", "g1", "#3=15", "(foo)", "#4=-7.0"])
        for r in [read("G0 X0 F100", " ".join([*items, "X1"]))]
    }
    assert len(found) == 1
    [(parameters, move, problems)] = found
    assert parameters == ((3, 15.0), (4, -7.0))
    assert move.kind == "line"
    assert problems == ()


def test_codes_and_other_words_may_be_reckoned() -> None:
    # 3.5: `G[2*5] L[1+1]` is G10 L2
    reading = read("#7=1", "G[2*5] L[1+1] P#7 X[3+.5] Y17.2")
    assert reading.problems == ()
    assert reading.parameters[5221] == 3.5
    assert reading.parameters[5222] == 17.2
    # 3.3.2.1: within 0.0001 of a whole number, and ten times the code of a G
    assert read("G0 X1", "G[59.1+.000001] G[1/3*3] X2 F1 M[4-1]").problems == ()


def test_a_parameter_never_set_is_nought_and_said() -> None:
    # 3.2.1, table 2: the default is 0, of 5220 it is 1
    reading = read("G0 X#100", "X[#100+#5220]", "X#101")
    assert [m.end[0] for m in reading.moves] == [0, 1, 0]
    assert [(p.severity, p.line) for p in reading.problems] == [("warning", 1), ("warning", 3)]


def test_given_parameters() -> None:
    reading = read("G0 X#100 Y#5221", parameters={100: 2.5, 5221: 7.0})
    assert reading.problems == ()
    assert reading.moves[-1].end[:2] == (2.5, 7.0)
    bad = read("G0 X1", parameters={0: 1.0, 5400: 1.0, 7: math.nan, 8: math.inf, 5220: 2.5})
    assert len(bad.errors) == 5


def test_places_keep_their_place_when_units_change() -> None:
    # 2.1.2.9: units change how numbers are read; a place stays where it is
    reading = read("G21 G10 L2 P1 X50.8", "G20", "G0 X#5221", "#5222=1", "G21", "Y#5222")
    assert reading.moves[-1].end[:2] == pytest.approx((50.8, 25.4))


NUMBERS = st.floats(-1000, 1000).map(lambda v: float(f"{v:.4f}"))
TREES = st.recursive(
    NUMBERS.map(lambda v: (f"{v:.4f}", v)),
    lambda inner: st.tuples(inner, st.sampled_from("+-*"), inner).map(
        lambda t: (
            f"[{t[0][0]} {t[1]} {t[2][0]}]",
            {"+": t[0][1] + t[2][1], "-": t[0][1] - t[2][1], "*": t[0][1] * t[2][1]}[t[1]],
        )
    ),
    max_leaves=8,
)


@given(TREES)
def test_brackets_are_what_arithmetic_says(tree: tuple[str, float]) -> None:
    text, value = tree
    assume(abs(value) < 1e6 and len(text) < 240)
    assert x_of(f"G0 X{text}") == value


@given(st.lists(NUMBERS, min_size=2, max_size=6), st.lists(st.sampled_from("+-*"), min_size=5))
def test_ranks_are_those_of_arithmetic(numbers: list[float], signs: list[str]) -> None:
    # 3.3.2.3: for + - * the ranks are those of the language the tests are written in
    items = [f"{numbers[0]:.4f}"]
    for sign, number in zip(signs, numbers[1:], strict=False):
        items += [sign, f"{number:.4f}"]
    value = eval(" ".join(items))
    assume(abs(value) < 1e6)
    assert x_of(f"G0 X[{' '.join(items)}]") == pytest.approx(value, rel=1e-12)


ERRORS = [
    # 3.3.2.2, 3.3.3
    pytest.param("#0=1", 2, "whole number, 1 to 5399", id="index 0"),
    pytest.param("#5400=1", 2, "whole number, 1 to 5399", id="index too large"),
    pytest.param("#1.5=1", 2, "whole number", id="index a fraction"),
    pytest.param("#-1=1", 2, "whole number", id="index negative"),
    pytest.param("G0 X#5400", 6, "whole number, 1 to 5399", id="reading too far"),
    pytest.param("G0 X##3", 6, "whole number", id="reading by way of a fraction"),
    pytest.param("#3", 1, "without =", id="not set"),
    pytest.param("#=1", 2, "number or expression missing", id="no index"),
    pytest.param("#3=", 4, "number or expression missing", id="no value"),
    pytest.param("#3==1", 4, "number or expression missing", id="two signs"),
    # appendix E: a sign belongs to a number alone
    pytest.param("G0 X-#3", 4, "X without a number", id="sign of a parameter"),
    pytest.param("G0 X-[2]", 4, "X without a number", id="sign of brackets"),
    pytest.param("G0 X[--2]", 6, "number or expression missing", id="two signs of a number"),
    # table 10
    pytest.param("g1 x asim[0.5]", 6, "ASIM is not an RS-274 function", id="table 10"),
    pytest.param("G0 X[1+2", 5, "bracket without ]", id="bracket not closed"),
    pytest.param("G0 X[1 + 2 (a) ]", 5, "bracket without ]", id="bracket over a comment"),
    pytest.param("G0 X[1 ~ 2]", 8, "expected an operator", id="expected an operator"),
    pytest.param("G0 X[1 2 [3]]", 10, "expected an operator", id="two values"),
    pytest.param("G0 X[]", 6, "number or expression missing", id="nothing in brackets"),
    pytest.param("G0 X[1/0]", 7, "division by zero", id="division by zero"),
    pytest.param("G0 X[1 MOD 0]", 8, "division by zero", id="remainder by zero"),
    pytest.param("G0 X[0**-1]", 7, "division by zero", id="zero to a negative power"),
    pytest.param("G0 X[-8**.5]", 8, "is not", id="root by power"),
    pytest.param("G0 X[9**9**9**9]", 13, "too large", id="power too large"),
    pytest.param("G0 X[99999999 * EXP[700]]", 15, "too large", id="product too large"),
    pytest.param("G0 X EXP[99999]", 6, "EXP of 99999 is not", id="exp too large"),
    pytest.param("G0 X SQRT[-1]", 6, "SQRT of -1", id="root of a negative"),
    pytest.param("G0 X LN[0]", 6, "LN of 0", id="logarithm of zero"),
    pytest.param("G0 X ASIN[1.1]", 6, "ASIN of 1.1", id="asin"),
    pytest.param("G0 X ACOS[-1.1]", 6, "ACOS of -1.1", id="acos"),
    pytest.param("G0 X ATAN[1]", 6, "ATAN[a]/[b]", id="atan of one"),
    pytest.param("G0 X ATAN[1]/2", 6, "ATAN[a]/[b]", id="atan over a number"),
    pytest.param("G0 X[SQRT 4]", 6, "number or expression missing", id="function without brackets"),
    pytest.param("G0 X[1e5]", 7, "expected an operator", id="exponent"),
    pytest.param("G0 X1e999", 6, "e is not an RS-274 letter", id="large exponent"),
    pytest.param("G0 XNaN", 4, "X without a number", id="no number at all"),
    pytest.param("G0 X" + "9" * 200, 4, "out of range", id="many digits"),
    pytest.param("#3=[9**99*9**99*9**99*9**99]", 22, "too large", id="setting too large"),
    pytest.param("G0 X1(a)2", 9, "2 is not expected here", id="digits split by a comment"),
    pytest.param("G0 X(a)1", 4, "X without a number", id="word split by a comment"),
    pytest.param("G0 X" + "[" * 200, 135, "nested more than", id="deep brackets"),
    pytest.param("G0 X" + "#" * 200, 135, "nested more than", id="deep parameters"),
]


@pytest.mark.parametrize(("line", "column", "text"), ERRORS)
def test_error(line: str, column: int, text: str) -> None:
    reading = read("G0 X0 Y0 Z0 #3=0.5", line, "X7")
    assert all(p.line == 2 for p in reading.problems)
    found = [(p.column, p.text) for p in reading.errors]
    assert any(c == column and text in t for c, t in found), found
    # nothing of the line is done, and reading goes on
    assert [m.line for m in reading.moves] == [1, 3]
    assert reading.parameters == {3: 0.5}


def test_brackets_as_deep_as_a_line_allows() -> None:
    assert x_of("G0 X" + "[" * 125 + "1" + "]" * 125) == 1
