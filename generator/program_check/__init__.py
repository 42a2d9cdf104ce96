"""What `onionskin check` does: a program file with its job and machine, and everything the checks say about it."""

from generator.program_check.run import Checked, check_program

__all__ = ["Checked", "check_program"]
