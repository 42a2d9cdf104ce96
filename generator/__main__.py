"""`python -m generator` is `onionskin`."""

from generator.cli import main

main()
