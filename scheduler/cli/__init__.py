"""The command line: reads arguments, calls a use case, prints. The only place with a clock.

`app` gathers the commands (`planned`, `under_way`), `parts` is what they share, `run` is what is started.
"""

from scheduler.cli.run import main

__all__ = ["main"]
