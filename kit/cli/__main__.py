"""Run the command as ``python -m kit.cli``."""

from kit.cli import main

main()
