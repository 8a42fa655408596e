"""Real calendar programs, each with its files in a folder of its own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.command import environment
from tests.served import PATIENCE_S

BIN = Path(sys.executable).parent


def client(program: str, *arguments: str | Path, cwd: Path, said: str = "") -> str:
    """What a program prints that was told some words; it has to end well."""
    ended = subprocess.run(
        [BIN / program, *map(str, arguments)],
        cwd=cwd,
        env=environment(HOME=str(cwd), XDG_CONFIG_HOME=str(cwd / "config"), XDG_DATA_HOME=str(cwd / "data"),
                        XDG_CACHE_HOME=str(cwd / "cache"), LC_ALL="C.UTF-8", TZ="America/New_York"),
        input=said,
        capture_output=True,
        encoding="utf-8",
        timeout=PATIENCE_S,
        check=False,
    )  # fmt: skip
    assert ended.returncode == 0, ended.stdout + ended.stderr
    return ended.stdout


class Subscriber:
    """vdirsyncer, which follows one address into a folder with a file for each entry."""

    def __init__(self, folder: Path, address: str) -> None:
        self._folder = folder
        self.entries = folder / "entries"
        folder.mkdir()
        (folder / "vdirsyncer.conf").write_text(
            f"""
[general]
status_path = "{folder}/status"
[pair season]
a = "feed"
b = "here"
collections = null
conflict_resolution = "a wins"
[storage feed]
type = "http"
url = "{address}"
[storage here]
type = "filesystem"
path = "{self.entries}"
fileext = ".ics"
"""
        )
        client("vdirsyncer", "-c", "vdirsyncer.conf", "discover", "season", cwd=folder, said="y\ny\n")

    def sync(self) -> None:
        """Asks the address, and makes the folder the same."""
        client("vdirsyncer", "-c", "vdirsyncer.conf", "sync", cwd=self._folder)

    def files(self) -> dict[str, bytes]:
        """Each file by its name."""
        return {path.name: path.read_bytes() for path in self.entries.glob("*.ics")}


def khal(folder: Path, *arguments: str | Path) -> str:
    """khal with one calendar, in a folder."""
    (folder / "khal").mkdir(parents=True, exist_ok=True)
    (folder / "khal.conf").write_text(
        f"[calendars]\n[[season]]\npath = {folder}/khal\n"
        f"[sqlite]\npath = {folder}/khal.db\n"
        "[locale]\ndateformat = %Y-%m-%d\nlongdateformat = %Y-%m-%d\ntimeformat = %H:%M\n"
        "datetimeformat = %Y-%m-%d %H:%M\nlongdatetimeformat = %Y-%m-%d %H:%M\n"
        "[default]\ndefault_calendar = season\n"
    )
    return client("khal", "-c", "khal.conf", *arguments, cwd=folder)


def todoman(folder: Path, entries: Path, *arguments: str) -> str:
    """todoman over a folder with a file for each to-do."""
    (folder / "todoman.py").write_text(
        f'path = "{entries}"\ndate_format = "%Y-%m-%d"\ntime_format = "%H:%M"\n'
        f'cache_path = "{folder}/todoman.sqlite3"\ndefault_list = "{entries.name}"\n'
    )
    return client("todo", "-c", "todoman.py", *arguments, cwd=folder)
