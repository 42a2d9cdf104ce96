"""Exams with one planted fault: the lines of a program, the planting, and the draw. Pure; reads and writes no file."""
