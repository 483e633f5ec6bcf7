"""Arithmetic as a job file writes it: ``3/8 in``, ``left + 5``, ``sqrt(a**2 + b**2)``.

Nothing but arithmetic is ever evaluated, every answer is a float, and text, nesting and size are
bounded, so that a job can neither hang nor fill memory.

Glossary
--------
suffix : ``mm``, ``in``, ``thou`` or ``deg`` behind a number; it belongs to that number
fraction : two plain numbers joined by ``/`` with a suffix behind (``3/8 in``): one number
mixed number : a whole number before a fraction: ``1 3/8 in``, or ``1-3/8 in`` without spaces
place words : ``left``, ``top`` ...: sides of the work, given as names where a key allows them
"""

from gcodekit.expr.dimensions import NamedFault, name_fault, resolve_dimensions
from gcodekit.expr.parser import FUNCTIONS, PLACE_WORDS
from gcodekit.expr.tokens import ExprError, nearest
from gcodekit.expr.values import Expect, Result, as_number, evaluate
from gcodekit.units import Quantity

__all__ = [
    "FUNCTIONS",
    "PLACE_WORDS",
    "Expect",
    "ExprError",
    "NamedFault",
    "Quantity",
    "Result",
    "as_number",
    "evaluate",
    "name_fault",
    "nearest",
    "resolve_dimensions",
]
