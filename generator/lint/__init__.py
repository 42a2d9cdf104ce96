"""Rules a course has to keep beyond being readable by a program: one module for each family, one function a rule."""
