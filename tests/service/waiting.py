"""Work for processes that are to be stopped: the first thing is done at once, the others go on and on."""

from __future__ import annotations

import sys
import time

from scheduler.service import processes


def work(seconds: int) -> int:
    """Takes so long."""
    time.sleep(seconds)
    return seconds


def main() -> None:
    """Tells how many are done, for whoever means to stop it."""
    try:
        processes.each(work, (0, 600, 600), 2, lambda done, total: print(done, "of", total, flush=True))
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
