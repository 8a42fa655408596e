"""The local page of a season of February, served by this process and called as a browser would call it."""

from __future__ import annotations

import html
import re
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path

import httpx
import uvicorn

from scheduler.ledger import When
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service import seasons
from scheduler.service.desk import Desk
from scheduler.service.desk_forms import FORMS
from scheduler.service.desk_pages import PAGES
from scheduler.service.feed import Feed
from scheduler.web import page
from scheduler.web.door import Door
from scheduler.web.server import listening
from tests.february import AT, DAY

TODAY = date.fromisoformat(DAY)
CLOCK = seasons.Clock(TODAY, "UTC")
PATIENCE_S = 120
MAIN = ("/", "/season", "/shopping", "/outlook", "/remedies", "/calendar", "/book")


class Browser(httpx.Client):
    """A browser without scripts, which follows where it is sent; what goes wrong in the server it sees."""

    desk: Desk
    said: list[str]
    host: str
    """What it calls the server."""

    @property
    def own(self) -> dict[str, str]:
        """The header of a form of a page of our own."""
        return {"Origin": f"http://{self.host}"}

    def form(self, path: str = "/") -> str:
        """A fresh token, from a page."""
        found = re.search(r'name="form" value="([^"]+)"', self.get(path).text)
        assert found, path
        return found[1]

    def submit(self, path: str, token: str = "", **fields: str) -> tuple[int, str]:
        """Sends a form of a page of our own, and follows where it leads: the last code, and the text."""
        got = self.post(path, data={"form": token or self.form(), **fields}, headers=self.own)
        return got.status_code, text_of(got.text)

    def wait(self, path: str) -> str:
        """The text of a page once all on it is worked out."""
        end = time.monotonic() + PATIENCE_S
        while True:
            got = self.get(path)
            assert got.status_code == 200, got.text
            if "refresh" not in got.headers:
                return text_of(got.text)
            assert time.monotonic() < end, "it is never worked out"
            time.sleep(0.1)


def text_of(document: str) -> str:
    """The words of a page."""
    main = document.partition("<main")[2].partition(">")[2]
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", main)).split())


@contextmanager
def opened(
    season: Path, passphrase: str | None = None, host: str = "", today: date = TODAY, told: bool = True
) -> Iterator[Browser]:
    """The page of a season folder, with a browser before it that calls the server by a name of its own.

    Where the day is not `told` to the server, the clock says it is `today`, unless the season file says another.
    """
    said: list[str] = []
    clock, day = seasons.Clock(today, "UTC"), today if told else None

    def read() -> Season:
        return seasons.with_kept_id(seasons.read(season, clock, day)[0])

    def when(plan: Plan) -> When:
        return When(datetime.fromisoformat(AT).astimezone(UTC), max(today, plan.season.today))

    feed = Feed(season / "season.toml", read, when, said.append)
    is_open = passphrase is not None
    desk = Desk(
        season,
        lambda timezone: clock,
        day,
        lambda: AT,
        feed,
        said.append,
        PAGES,
        FORMS,
        is_open=is_open,
        is_locked=is_open,
    )
    names = page.machine_names("127.0.0.1", (), is_open)
    app = page.app(desk, feed, Door(passphrase), names, "budswell-8427")
    with listening("127.0.0.1", 0) as listener:
        port = listener.getsockname()[1]
        config = uvicorn.Config(app, log_config=None, lifespan="off", timeout_graceful_shutdown=3)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        try:
            here = f"127.0.0.1:{port}"
            headers = {"Host": host} if host else {}
            with Browser(
                base_url=f"http://{here}", headers=headers, follow_redirects=True, timeout=PATIENCE_S
            ) as found:
                found.desk, found.said, found.host = desk, said, host or here
                yield found
        finally:
            server.should_exit = True
            thread.join()
            desk.close()
