"""How soon a stop is answered: Ctrl-C in the terminal, and the two buttons of the page, at random moments.

    python -m tests.benchmarks.stopping --sizes 60,200,1000 --moments 20
    python -m tests.benchmarks.stopping --sizes 1000 --moments 5 --page

Each moment comes once there is a plan. On a machine that others use, the CPU time tells more than the clock.
"""

import argparse
import contextlib
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random

from playwright.sync_api import Page, expect, sync_playwright

from tests.benchmarks.generate import make_tables, write_job
from tests.desk_page.conftest import Running
from tests.reports.chromium import chromium
from tests.reports.conftest import FLAGS

# The page notes when a button was pressed and when the answer was drawn: what drives the browser takes time itself.
CLOCK = """
const look = (wanted) => {
  if (wanted()) requestAnimationFrame(() => setTimeout(() => { sessionStorage.drawn ||= Date.now(); }));
  else setTimeout(() => look(wanted), 2);
};
document.addEventListener("click", () => {
  sessionStorage.pressed = Date.now();
  sessionStorage.drawn = "";
  look(() => document.getElementById("progress")?.textContent.includes("Stopped"));
}, true);
if (sessionStorage.pressed && !sessionStorage.drawn) look(() => document.getElementById("costs"));
"""
ROOT = Path(__file__).parents[2]
TICKS = os.sysconf("SC_CLK_TCK")
PATIENCE = 120_000  # milliseconds

# Tells on standard error when there is a plan; whoever starts this in the background has interrupts ignored.
COMMAND = """
import contextlib, signal, sys
import cli.progress
from cli.main import main

@contextlib.contextmanager
def told(_currency):
    yield lambda now: now.total is not None and print("a plan", file=sys.stderr, flush=True)

signal.signal(signal.SIGINT, signal.default_int_handler)
cli.progress.shown_progress = told
main()
"""


@dataclass(frozen=True, slots=True)
class Answer:
    """Seconds from a stop until it is answered, by the clock, and of the CPU where it is known."""

    seconds: float
    cpu: float | None = None


def main(arguments: list[str] | None = None) -> None:
    asked = _arguments().parse_args(arguments)
    for size in asked.sizes:
        with tempfile.TemporaryDirectory() as folder:
            job = Path(folder) / "job"
            write_job(make_tables(asked.kind, size, 0), job)
            moments = [Random(f"{size}/{number}").uniform(0, asked.within) for number in range(asked.moments)]  # noqa: S311
            if asked.page:
                for button in ("Stop", "Use this one"):
                    _tell(f"{button}, {asked.kind} {size}", list(_clicked(job, Path(folder), button, moments)))
            else:
                _tell(f"Ctrl-C, {asked.kind} {size}", [_struck(job, moment) for moment in moments])


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser("python -m tests.benchmarks.stopping", description="Measure how soon it stops.")
    parser.add_argument("--kind", default="wall", help="as of python -m tests.benchmarks")
    parser.add_argument("--sizes", type=lambda text: [int(each) for each in text.split(",")], default=[60, 200, 1000])
    parser.add_argument("--moments", type=int, default=20, help="how many for each size")
    parser.add_argument("--within", type=float, default=10.0, help="seconds after the first plan")
    parser.add_argument("--page", action="store_true", help="the buttons of the page, in place of the terminal")
    return parser


def _tell(what: str, answers: list[Answer]) -> None:
    for name, values in (
        ("seconds", sorted(each.seconds for each in answers)),
        ("CPU", sorted(each.cpu for each in answers if each.cpu is not None)),
    ):
        if values:
            ninth = values[int(0.9 * (len(values) - 1))]
            middle = values[len(values) // 2]
            sys.stdout.write(f"{what}: {name} median {middle:.2f}, 90 % {ninth:.2f}, most {values[-1]:.2f}\n")
    sys.stdout.flush()


def _struck(job: Path, moment: float) -> Answer:
    """Plan in the terminal and press Ctrl-C so many seconds after the first plan; what to buy is said first."""
    command = [sys.executable, "-u", "-c", COMMAND, "plan", str(job), "--seconds", "60"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as started:
        assert started.stdout
        assert started.stderr
        started.stderr.readline()
        with contextlib.suppress(subprocess.TimeoutExpired):
            started.wait(moment)
            return Answer(0.0, 0.0)  # proven before
        before, began = _cpu(started.pid), time.monotonic()
        started.send_signal(signal.SIGINT)
        started.stdout.readline()
        answer = Answer(time.monotonic() - began, _cpu(started.pid) - before)
        started.communicate()
    return answer


def _cpu(process: int) -> float:
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS


def _clicked(job: Path, home: Path, button: str, moments: list[float]) -> Iterator[Answer]:
    """Plan on the page and press a button; the answer is whole once what is bought is shown, or that it is stopped."""
    running = Running(home / button)
    try:
        running.enter()
        with sync_playwright() as player:
            page = player.chromium.launch(executable_path=chromium(), args=FLAGS).new_page(bypass_csp=True)
            page.add_init_script(CLOCK)
            page.set_default_timeout(PATIENCE)
            wall = running.ask("/do/new", name="Measured")["wall"]
            folder = running.home / "windowfall" / "walls" / "Measured"
            for path in job.glob("*.csv"):
                (folder / path.name).write_bytes(path.read_bytes())
            page.goto(running.address.replace(running.code, running.ask("/again", job=None)["code"]))
            page.wait_for_url("**/")
            for moment in moments:
                page.goto(f"http://127.0.0.1:{running.port}/wall/{wall}/plan")
                yield Answer(_answered(page, button, moment))
                running.ask(f"/wall/{wall}/do/stop")
                time.sleep(1)
    finally:
        running.end()


def _answered(page: Page, button: str, moment: float) -> float:
    page.get_by_role("button", name=re.compile("^Plan")).click()
    expect(page.locator("#progress")).to_contain_text("Best so far", timeout=PATIENCE)
    page.wait_for_timeout(1000 * moment)
    page.get_by_role("button", name=button).click()
    page.wait_for_function("() => sessionStorage.drawn", polling=100)
    return (int(page.evaluate("sessionStorage.drawn")) - int(page.evaluate("sessionStorage.pressed"))) / 1000


if __name__ == "__main__":
    main()
