"""Requests that must fail, each in words and with nothing changed; and how a code opens the desk once."""

import json
import re
import socket
import stat
import time

import pytest

from tests.desk_page.conftest import Running

OTHER = "http://fair.example"


@pytest.fixture(scope="module")
def wall(running):
    return running.ask("/do/new", name="Back stairs")["wall"]


def new(running, **headers):
    return running.request("POST", "/do/new", b'{"name": "never"}', **headers)


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Host": "fair.example"}, 421),
        ({"Host": None}, 400),
        ({"Host": "127.0.0.1"}, 421),
        ({"Origin": OTHER}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": None}, 403),
        ({"Cookie": None}, 403),
        ({"Cookie": "windowfall_1=x"}, 403),
        ({"X_Windowfall_Token": None}, 403),
        ({"X_Windowfall_Token": "x"}, 403),
    ],
)
def test_a_change_that_does_not_come_from_the_page_is_refused(running, headers, status):
    found, words, _ = new(running, **headers)
    assert found == status
    assert "Traceback" not in words
    assert "never" not in running.request("GET", "/")[1]


@pytest.mark.parametrize("headers", [{"Host": "fair.example"}, {"Origin": OTHER}, {"Cookie": None}])
@pytest.mark.parametrize("path", ["/", "/events", "/news"])
def test_a_page_is_not_shown_to_others(running, headers, path):
    assert running.request("GET", path, **headers)[0] in {403, 421}


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_methods_are_refused(running, method):
    assert running.request(method, "/do/new", b"{}")[0] == 405


def test_nothing_is_changed_by_get(running, wall):
    for name in ("new", "book", "demo", "back", "empty", "close"):
        assert running.request("GET", f"/do/{name}")[0] == 405
    for name in ("change", "rename", "copy", "bin"):
        assert running.request("GET", f"/wall/{wall}/do/{name}")[0] == 405


@pytest.mark.parametrize(
    ("path", "asked"),
    [
        ("/do/back", {"bin": "../walls"}),
        ("/do/back", {"bin": 7}),
        ("/do/book", {"name": "x.xlsx", "data": ["x"]}),
        ("/wall/{}/do/rename", {"name": ["x"]}),
        ("/wall/{}/do/rename", {"name": "x" * 201}),
        ("/wall/000000000000/do/bin", {}),
        ("/wall/000000000000/do/copy", {}),
    ],
)
def test_no_wall_is_moved_by_what_the_page_would_not_ask(running, wall, path, asked):
    assert "Traceback" not in running.ask(path.format(wall), 422, **asked)["words"]
    assert f"/wall/{wall}/pieces" in running.request("GET", "/")[1]


@pytest.mark.parametrize(
    "path",
    [
        "/wall/%2e%2e/pieces",
        "/wall/../../etc/pieces",
        "/wall/000000000000/pieces",
        "/static/../server.py",
        "/static/%2e%2e/server.py",
        "/static/x/../../server.py",
        "/static/x/%2e%2e/server.py",
        "/static/x/fonts/%2e%2e/jobs.py",
    ],
)
def test_no_path_comes_from_a_request(running, path):
    status, words, _ = running.request("GET", path)
    assert status in {404, 422}
    assert "import" not in words


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"table": "../pieces"},
        {"table": "pieces", "name": "x", "version": "x", "cells": [[0, "piece", "x"]]},
        {"table": "pieces", "name": "x", "version": "x", "cells": [[True, "piece", "x"]]},
        {"table": "pieces", "name": "x", "version": "x", "cells": [[2, "", "x"]]},
        {"table": "pieces", "name": "x", "version": "x", "cells": [[10**9, "piece", "x"]]},
        {"table": "pieces", "name": "x", "version": "x", "cells": "x"},
        {"table": "pieces", "name": ["x"], "version": "x"},
    ],
)
def test_what_the_page_would_not_ask_is_refused(running, wall, asked):
    before = running.request("GET", f"/wall/{wall}/tables/pieces")[1]
    assert "Traceback" not in running.ask(f"/wall/{wall}/do/change", 422, **asked)["words"]
    assert running.request("GET", f"/wall/{wall}/tables/pieces")[1] == before


@pytest.mark.parametrize("body", [b"", b"[]", b"{", b"\xff", b"[" * 100_000])
def test_what_is_no_request_is_refused(running, body):
    assert running.request("POST", "/do/new", body)[0] == 422


def test_a_body_larger_than_a_table_is_refused_while_it_comes(running):
    with socket.create_connection(("127.0.0.1", running.port), timeout=20) as line:
        line.sendall(_head(running, "Transfer-Encoding: chunked"))
        chunk = b"100000\r\n" + b"x" * 0x100000 + b"\r\n"
        sent = sum(_taken(line, chunk) for _ in range(64))
        assert 10 <= sent < 32


def _taken(line, chunk):
    """Send a chunk, and say whether the other end still takes it."""
    try:
        line.sendall(chunk)
    except OSError:
        return False
    time.sleep(0.01)
    return True


def _head(running, more):
    lines = (
        "POST /do/new HTTP/1.1",
        f"Host: 127.0.0.1:{running.port}",
        f"Origin: http://127.0.0.1:{running.port}",
        f"Cookie: {running.cookie}",
        f"X-Windowfall-Token: {running.token}",
        more,
    )
    return ("\r\n".join(lines) + "\r\n\r\n").encode()


def test_a_body_that_is_too_slow_is_refused_after_ten_seconds(running):
    with socket.create_connection(("127.0.0.1", running.port), timeout=20) as line:
        line.sendall(_head(running, "Content-Length: 100"))
        began = time.monotonic()
        assert b" 408 " in line.recv(200)
        assert 9 < time.monotonic() - began < 14


def test_every_answer_says_what_a_browser_must_not_do(running):
    for path in ("/", "/open", "/static/x/nothing.js", "/nowhere"):
        headers = running.request("GET", path)[2]
        assert "'unsafe" not in headers["content-security-policy"]
        assert "default-src 'none'" in headers["content-security-policy"]
        assert (headers["referrer-policy"], headers["cache-control"]) == ("no-referrer", "no-store")


def test_a_browser_keeps_what_all_pages_are_made_with_and_only_for_this_start(running, tmp_path):
    style = re.compile(r'href="(/static/[^"]+/desk.css)"')
    path = style.search(running.request("GET", "/")[1]).group(1)
    headers = running.request("GET", path)[2]
    assert headers["cache-control"] == "private, max-age=86400, immutable"
    assert "'unsafe" not in headers["content-security-policy"]
    other = Running(tmp_path)
    try:
        other.enter()
        assert style.search(other.request("GET", "/")[1]).group(1) != path
    finally:
        other.end()


def test_a_code_opens_once(running):
    body = json.dumps({"code": running.code}).encode()
    status, words, headers = running.request("POST", "/open", body, Cookie=None)
    assert (status, "set-cookie" in headers) == (403, False)
    assert "windowfall desk" in words


def test_the_cookie_is_for_this_page_alone(tmp_path):
    started = Running(tmp_path)
    try:
        headers = started.request("POST", "/open", json.dumps({"code": started.code}).encode())[2]
        assert f"windowfall_{started.port}=" in headers["set-cookie"]
        assert "HttpOnly" in headers["set-cookie"]
        assert "samesite=strict" in headers["set-cookie"].lower()
        state = tmp_path / "windowfall" / f"desk-{started.port}.json"
        assert stat.S_IMODE(state.stat().st_mode) == 0o600
        again = Running(tmp_path, started.port)
        assert again.process.wait(10) == 0
        again.end()
        assert again.request("POST", "/open", json.dumps({"code": again.code}).encode())[0] == 200
    finally:
        assert started.end() == 0
    assert not state.exists()
