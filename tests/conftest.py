"""What all tests share: the switch that turns a skipped test into a failed run."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--no-skips`: a run in which a test was skipped fails and names it."""
    parser.addoption("--no-skips", action="store_true", help="fail when any test was skipped")


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, exitstatus: int, config: pytest.Config
) -> None:
    """Name the skipped tests, loudly, where they are not allowed."""
    skipped = terminalreporter.stats.get("skipped", [])
    if config.getoption("--no-skips") and skipped:
        terminalreporter.section("skipped tests are not allowed here", red=True)
        for report in skipped:
            terminalreporter.line(f"{report.nodeid}: {report.longrepr}")
        terminalreporter._session.exitstatus = pytest.ExitCode.TESTS_FAILED
