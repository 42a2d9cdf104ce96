"""The data of a workshop: machines, jobs and the workshop itself, strict and frozen."""

from __future__ import annotations

from generator.model.cutter import Cutter
from generator.model.job import HoldDownSpot, Job, Operation, Stock, Tabs, Zero
from generator.model.machine import Machine
from generator.model.shape import Circle, GridOfCircles, Polygon, Rectangle, Shape
from generator.model.spindle import StopControl
from generator.model.workshop import Level, LocalRule, Role, Workshop

__all__ = [
    "Circle",
    "Cutter",
    "GridOfCircles",
    "HoldDownSpot",
    "Job",
    "Level",
    "LocalRule",
    "Machine",
    "Operation",
    "Polygon",
    "Rectangle",
    "Role",
    "Shape",
    "Stock",
    "StopControl",
    "Tabs",
    "Workshop",
    "Zero",
]
