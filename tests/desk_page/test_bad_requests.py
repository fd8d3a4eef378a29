"""Thousands of requests that no page would send: each is refused in words, and nothing is changed."""

import http.client
import json
import random
from pathlib import Path

from tests.desk_page.conftest import send_in_one

COUNT = 5_000
MOST_MEMORY = 160_000
HOSTS = ("fair.example", "127.0.0.1", "localhost:1", "[::1]", "", None)
ORIGINS = ("http://fair.example", "null", "https://127.0.0.1", "file://", None)
METHODS = ("PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "POST", "GET", "HEAD", "BREW")
DOS = ("change", "undo", "redo", "list", "options", "plan", "stop", "take", "away", "spoil", "tick", "book", "unbook")
DOS += ("goback", "pin", "pins", "order", "fewer", "restock", "share", "unshare", "newcode", "letin", "shutout")
ODD = (
    None,
    True,
    -1,
    10**30,
    1.5,
    "",
    "x" * 3000,
    "../../etc/passwd",
    "\0",
    "<script>",
    [],
    {},
    [[2, "piece", "x"]],
    {"a": {}},
)
PLACES = ("pieces", "plan", "bench?plan=../..", "group/99", "group/-1", "tables/passwd", "book.xlsx")
OTHERS = (
    "/do/new",
    "/do/shelf",
    "/do/empty",
    "/do/book",
    "/do/close",
    "/again",
    "/open",
    "/events/x",
    "/news",
    "//",
    "/static/x/y",
)
NAMES = ("table", "version", "name", "cells", "removed", "row", "plan", "key", "mat", "what", "text", "later")
BODIES = (b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"a":' * 900, b"0", b'"x"')


def memory(running):
    status = Path(f"/proc/{running.process.pid}/status").read_text()
    return int(status.partition("VmRSS:")[2].split()[0])


def files(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def path(draw, wall):
    ident = draw.choice((wall, "000000000000", "%2e%2e", "x" * 500, "con", "..%2f..", "%00"))
    return draw.choice(
        (
            f"/wall/{ident}/do/{draw.choice((*DOS, 'draw', 'row', 'aside', 'nothing'))}",
            f"/wall/{ident}/{draw.choice(PLACES)}",
            draw.choice(OTHERS),
        )
    )


def spoil_headers(draw, sent):
    """Make a request one that cannot be the page's own."""
    what = draw.randrange(4)
    if what == 0:
        return {**sent, "Host": draw.choice(HOSTS)}
    if what == 1:
        return {**sent, "Origin": draw.choice(ORIGINS)}
    if what == 2:
        return {**sent, "Cookie": draw.choice(("", "a=b", "windowfall_8347=x", "=;=", None))}
    return {**sent, "X-Windowfall-Token": draw.choice(("", "x" * 43, "\x7f", None))}


def body(draw):
    if draw.random() < 0.3:
        return draw.choice(BODIES)
    names = (
        "table",
        "version",
        "name",
        "cells",
        "removed",
        "row",
        "plan",
        "key",
        "mat",
        "what",
        "text",
        "change",
        "later",
    )
    return json.dumps({name: draw.choice(ODD) for name in draw.sample(names, 4)}).encode()


def send(running, method, where, headers, data):
    """Send a request; once more where it was refused before it was read and the line was cut off with the answer."""
    try:
        return sent_once(running, method, where, headers, data)
    except ConnectionError:
        return sent_once(running, method, where, headers, data)


def sent_once(running, method, where, headers, data):
    line = http.client.HTTPConnection("127.0.0.1", running.port, timeout=20)
    line.putrequest(method, where, skip_host=True, skip_accept_encoding=True)
    for name, text in headers.items():
        if text is not None:
            line.putheader(name, text)
    line.putheader("Content-Length", str(len(data)))
    send_in_one(line, data)
    answer = line.getresponse()
    found = answer.status, answer.read(100_000).decode("utf-8", "replace")
    line.close()
    return found


def test_each_is_refused_in_words_and_nothing_is_changed(running):
    wall = running.ask("/do/new", name="Back stairs")["wall"]
    usual = {
        "Host": f"127.0.0.1:{running.port}",
        "Origin": f"http://127.0.0.1:{running.port}",
        "Cookie": running.cookie,
        "X-Windowfall-Token": running.token,
    }
    draw, before = random.Random(7), files(running.home)  # noqa: S311 - requests, no secrets
    send(running, "GET", "/", usual, b"")
    for number in range(COUNT):
        is_foreign = number % 2 == 0
        method = draw.choice(METHODS) if draw.random() < 0.3 else "POST"
        headers = spoil_headers(draw, usual) if is_foreign else usual
        where = path(draw, wall if is_foreign else "0" * 12)
        if not is_foreign and where in {"/do/close", "/do/new", "/again"}:
            continue  # the page's own, which may
        data = body(draw)
        status, words = send(running, method, where, headers, data)
        told = f"{number}: {method} {where} {headers} {data[:80]!r}: {status} {words[:200]}"
        is_known = headers["Cookie"] == running.cookie or where == "/open"
        is_ours = headers["Host"] == usual["Host"] and headers["Origin"] in {usual["Origin"], None}
        may_read = method in {"GET", "HEAD"} and is_known and is_ours
        assert 400 <= status < 500 or (may_read and status == 200), told
        assert "Traceback" not in words, told
        assert method == "HEAD" or words, told
    assert files(running.home) == before
    assert memory(running) < MOST_MEMORY
