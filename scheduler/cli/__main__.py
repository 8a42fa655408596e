"""``python -m scheduler.cli``."""

from scheduler.cli.run import main

main()
