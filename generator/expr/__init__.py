"""One small expression language for formulas, conditions, checks and drawings.

Text is parsed once by a whitelist over Python's own grammar, evaluated in Python,
emitted as JavaScript at build time and shown as MathML or plain words.
"""

from generator.expr.evaluate import Scope, Value, evaluate
from generator.expr.functions import FUNCTIONS
from generator.expr.javascript import to_js, to_js_function
from generator.expr.kinds import Kind, kind_of
from generator.expr.mathml import to_mathml
from generator.expr.nodes import Node, names, numbers
from generator.expr.parse import ExprError, parse
from generator.expr.spoken import spoken
from generator.expr.template import Template, parse_template, render_template, template_names, template_to_js

FUNCTION_NAMES = tuple(FUNCTIONS)

__all__ = [
    "FUNCTION_NAMES",
    "ExprError",
    "Kind",
    "Node",
    "Scope",
    "Template",
    "Value",
    "evaluate",
    "kind_of",
    "names",
    "numbers",
    "parse",
    "parse_template",
    "render_template",
    "spoken",
    "template_names",
    "template_to_js",
    "to_js",
    "to_js_function",
    "to_mathml",
]
