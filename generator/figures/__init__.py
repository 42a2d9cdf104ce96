"""Drawings as content: parsed once, drawn as SVG in Python and again in the browser from emitted functions."""

from generator.figures.draw import draw
from generator.figures.model import Figure, Part
from generator.figures.names import names, parts_of
from generator.figures.parse import parse_figure, parse_part
from generator.figures.script import figure_js, part_js

__all__ = ["Figure", "Part", "draw", "figure_js", "names", "parse_figure", "parse_part", "part_js", "parts_of"]
