"""A declared equation as MathML, so that a page shows mathematics without a script."""

import re
from functools import cache

import sympy
from sympy.printing.mathml import MathMLPresentationPrinter

from calculators.declaring.calculator import EQUATION_FUNCTIONS

OF_SYMPY = {"abs": "Abs", "max": "Max", "min": "Min"}
"""Functions that sympy calls otherwise."""
FUNCTIONS = {name: getattr(sympy, OF_SYMPY.get(name, name)) for name in (*EQUATION_FUNCTIONS, "pi")}
_NAME = re.compile(r"[A-Za-z_]\w*")


def parsed(expression: str, spaced: bool = False) -> sympy.Expr:
    """An expression of an equation as sympy reads it, nothing worked out.

    Names of quantities become symbols; with ``spaced``, their underscores become blanks.
    """
    names = {
        name: sympy.Symbol(name.replace("_", " ") if spaced else name)
        for name in _NAME.findall(expression)
        if name not in FUNCTIONS
    }
    return sympy.sympify(expression, locals={**FUNCTIONS, **names}, evaluate=False)


@cache
def mathml(equation: str) -> str:
    """``name = expression`` as a MathML block."""
    name, _, expression = equation.partition(" = ")
    printer = MathMLPresentationPrinter({"order": "none"})
    right = printer._print(parsed(expression, spaced=True)).toxml()
    right = right.replace("<mo>&InvisibleTimes;</mo>", "<mo>·</mo>").replace("<mo>-</mo>", "<mo>−</mo>")
    left = name.strip().replace("_", " ")
    return f'<math display="block"><mrow><mi>{left}</mi><mo>=</mo>{right}</mrow></math>'
