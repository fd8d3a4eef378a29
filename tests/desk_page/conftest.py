"""A desk that runs as the program does, on a port of its own, with a home of its own."""

import contextlib
import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from cli.desk.screens import addresses
from tests.left_out import leave_out
from tests.reports.chromium import chromium, demanded_chromium
from tests.reports.conftest import FLAGS

ROOT = Path(__file__).parents[2]
START = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); from cli.entry import main; main()"
"""Ctrl-C is heard from the first moment, also where the suite was started in the background, which ignores it."""


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    leave_out(config, items, "desk_browser", demanded_chromium, "of the desk did NOT run: no Chromium was found.")
    leave_out(config, items, "network", addresses, "of second screens did NOT run: this machine is in no network.")


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


def send_in_one(line: http.client.HTTPConnection, body: bytes | None) -> None:
    """Send head and body in one piece: a server that refuses a head closes, and a later body cuts its answer off."""
    pieces: list[bytes] = []
    line.connect()
    line.send = pieces.append  # type: ignore[method-assign]
    line.endheaders(body)
    line.sock.sendall(b"".join(pieces))


class Running:
    """The program, started with --no-browser."""

    def __init__(self, home: Path, port: int | None = None) -> None:
        self.home, self.port = home, port or free_port()
        self.process = subprocess.Popen(
            [sys.executable, "-c", START, "desk", "--no-browser", "--port", str(self.port)],
            cwd=ROOT,
            env=self.environment(home),
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout
        found = re.search(r"http\S+", self.process.stdout.readline())
        assert found
        self.address = found.group()
        self.code = self.address.partition("#")[2]
        self.cookie = self.token = ""

    @staticmethod
    def environment(home: Path) -> dict[str, str]:
        left = {name: text for name, text in os.environ.items() if name != "WINDOWFALL_SHELF"}
        return left | {"XDG_DATA_HOME": str(home), "PYTHONUNBUFFERED": "1"}

    def request(
        self, method: str, path: str, body: bytes | None = None, **headers: str | None
    ) -> tuple[int, str, dict]:
        usual = {"Host": f"127.0.0.1:{self.port}", "Origin": f"http://127.0.0.1:{self.port}"}
        if self.cookie:
            usual |= {"Cookie": self.cookie, "X-Windowfall-Token": self.token}
        sent = usual | {name.replace("_", "-"): text for name, text in headers.items()}
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        with contextlib.closing(line):
            line.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, text in sent.items():
                if text is not None:
                    line.putheader(name, text)
            if body is not None:
                line.putheader("Content-Length", str(len(body)))
            send_in_one(line, body)
            answer = line.getresponse()
            return answer.status, answer.read().decode(), dict(answer.getheaders())

    def enter(self) -> None:
        status, _, headers = self.request("POST", "/open", json.dumps({"code": self.code}).encode())
        assert status == 200
        self.cookie = headers["set-cookie"].partition(";")[0]
        found = re.search('data-token="([^"]+)"', self.request("GET", "/")[1])
        assert found
        self.token = found.group(1)

    def ask(self, path: str, status: int = 200, **asked: object) -> dict:
        found, text, _ = self.request("POST", path, json.dumps(asked).encode())
        assert found == status, text
        return json.loads(text) if found == 200 else {"words": text}

    def end(self) -> int:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        code = self.process.wait(15)
        if self.process.stdout:
            self.process.stdout.close()
        return code


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    started = Running(tmp_path_factory.mktemp("home"))
    started.enter()
    yield started
    assert started.end() == 0


@pytest.fixture(scope="session")
def network() -> str:
    """Return an address that this machine has in a network of its own."""
    return addresses()[0]


@pytest.fixture(scope="module")
def desk_browser() -> Iterator[Browser]:
    with sync_playwright() as player:
        started = player.chromium.launch(executable_path=chromium(), args=FLAGS)
        yield started
        started.close()
