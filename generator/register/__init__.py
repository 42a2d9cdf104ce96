"""The register of sign-offs: what stands in it, how it is chained, and what follows from it.

Everything here is pure but for `file`, which alone opens the SQLite file. Dates come in as arguments.
"""
