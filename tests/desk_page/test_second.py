"""Second screens: who is let in, what they can open, and that everything else is refused."""

import contextlib
import http.client
import json
import os
import re
import socket
import time

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.desk_page.conftest import Running, send_in_one
from tests.desk_page.test_bad_requests import DOS, OTHERS, files
from tests.desk_page.test_bench import Wall
from tests.desk_page.test_day import SOON
from tests.desk_page.test_screens import wrong


class Device:
    """A phone: what it asks goes to the address that is shared."""

    def __init__(self, running, wall):
        self.running, self.wall = running, wall
        self.host = re.search(r"<strong>http://([^/]+)/</strong>", wall.page("screens")).group(1)
        self.cookie = self.token = None

    def request(self, method, path, body=None, **headers):
        usual = {"Host": self.host, "Origin": f"http://{self.host}", "Cookie": self.cookie}
        sent = {**usual, "X-Windowfall-Token": self.token} | {key.replace("_", "-"): of for key, of in headers.items()}
        address, _, port = self.host.partition(":")
        with contextlib.closing(http.client.HTTPConnection(address, int(port), timeout=20)) as line:
            line.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, text in sent.items():
                if text is not None:
                    line.putheader(name, text)
            if body is not None:
                line.putheader("Content-Length", str(len(body)))
            send_in_one(line, body)
            answer = line.getresponse()
            return answer.status, answer.read().decode(), dict(answer.getheaders())

    def enter(self):
        code = re.search(r'<p class="code">([0-9 ]+)</p>', self.wall.page("screens")).group(1)
        status, said, headers = self.request("POST", "/enter", json.dumps({"code": code}).encode())
        assert status == 200
        self.cookie = headers["set-cookie"].partition(";")[0]
        assert "HttpOnly" in headers["set-cookie"]
        assert "samesite=strict" in headers["set-cookie"].lower()
        return str(json.loads(said)["number"])

    def come_in(self):
        self.wall.ask("letin", number=self.enter())
        self.token = re.search('data-token="([^"]+)"', self.request("GET", f"/wall/{self.wall.id}/shop")[1]).group(1)


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    """Start the desk where the port beside its own is no other connection's: below those that a system gives away."""
    port = next(port for port in range(20_000 + os.getpid() % 5_000 * 2, 32_000, 2) if is_free(port, port + 1))
    started = Running(tmp_path_factory.mktemp("home"), port)
    started.enter()
    yield started
    assert started.end() == 0


def is_free(*ports):
    with contextlib.ExitStack() as stack:
        try:
            for port in ports:
                stack.enter_context(socket.create_server(("", port)))
        except OSError:
            return False
    return True


@pytest.fixture(scope="module")
def wall(running):
    made = Wall(running, "Landing", "Fern", "Vetch", "Sedge")
    made.ask("tick", plan=made.plan(), key="cut-S1-2", done=True)
    return made


@pytest.fixture
def shared(wall, network):
    wall.ask("share", address=network)
    yield wall
    wall.ask("unshare")


@pytest.fixture
def device(running, shared):
    made = Device(running, shared)
    made.come_in()
    return made


def test_a_device_sees_shop_and_bench_and_ticks(device, wall):
    plan, key = wall.plans()[-1].name, "cut-S1-1"
    for place in ("shop", "bench"):
        status, text, _ = device.request("GET", f"/wall/{wall.id}/{place}")
        assert status == 200
        assert not re.search("/finish|/plan[^s?]|/pieces|fewer|class=.spoil|id=.away", text)
    body = json.dumps({"plan": plan, "key": key, "done": True}).encode()
    assert device.request("POST", f"/wall/{wall.id}/do/tick", body)[0] == 200
    assert json.loads((wall.plans()[-1] / "ticks.json").read_text()) == ["cut-S1-2", key]
    assert json.loads(device.request("GET", f"/wall/{wall.id}/ticks?plan={plan}")[1]) == {"ticks": ["cut-S1-2", key]}
    wall.ask("tick", plan=plan, key=key, done=False)


def test_a_device_can_do_nothing_else(running, device, wall):
    before = files(running.home)
    places = (
        "",
        "shelf",
        "open",
        "again",
        f"wall/{wall.id}/screens",
        *(path.strip("/") for path in OTHERS if path.strip("/")),
    )
    places += tuple(
        f"wall/{wall.id}/{place}" for place in ("pieces", "prices", "plan", "finish", "group/0", "book.xlsx")
    )
    places += tuple(f"wall/{wall.id}/tables/{table}" for table in ("pieces", "offers"))
    for place in places[1:]:
        assert device.request("GET", f"/{place}")[0] == 404, place
        assert device.request("POST", f"/{place}", b"{}")[0] in {404, 405}, place
    does = {*DOS, "fewer", "restock", "share", "unshare", "newcode", "letin", "shutout", "aside"} - {"tick"}
    for do in does:
        assert device.request("POST", f"/wall/{wall.id}/do/{do}", b"{}")[0] == 404, do
    other = running.ask("/do/new", name="Attic, not shared")["wall"]
    for place in ("shop", "bench", "ticks?plan=x"):
        assert device.request("GET", f"/wall/{other}/{place}")[:2] == (403, "This wall is not shared.")
    shutting = running.home / "windowfall" / "walls" / "Attic, not shared"
    assert {path: text for path, text in files(running.home).items() if shutting not in path.parents} == before


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Host": "localhost"}, 421),
        ({"Host": "fair.example"}, 421),
        ({"Host": None}, 400),
        ({"Origin": "http://fair.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": None}, 403),
        ({"Cookie": None}, 403),
        ({"X_Windowfall_Token": None}, 403),
        ({"X_Windowfall_Token": "x"}, 403),
    ],
)
def test_a_tick_that_does_not_come_from_the_page_is_refused(device, wall, headers, status):
    body = json.dumps({"plan": wall.plans()[-1].name, "key": "cut-S1-1", "done": True}).encode()
    found, words, _ = device.request("POST", f"/wall/{wall.id}/do/tick", body, **headers)
    assert found == status
    assert "Traceback" not in words
    assert json.loads((wall.plans()[-1] / "ticks.json").read_text()) == ["cut-S1-2"]


def test_a_body_of_a_device_is_small(device, wall):
    status, words, _ = device.request("POST", f"/wall/{wall.id}/do/tick", b"x" * 20_001)
    assert (status, "larger" in words) == (413, True)


def test_a_mat_is_not_marked_as_spoiled_by_a_tick(device, wall):
    for done in (True, False):
        body = json.dumps({"plan": wall.plans()[-1].name, "key": "spoiled-M1", "done": done}).encode()
        assert device.request("POST", f"/wall/{wall.id}/do/tick", body)[0] == 422


@pytest.mark.parametrize("path", ["*", "wall", "wall/"])
def test_odd_addresses_are_refused_as_others_are(device, path):
    assert device.request("GET", path)[0] in {400, 404}


def test_one_request_of_many_backslashes_does_not_hold_up_the_desk(running, device):
    """The library's own reading of cookies takes half a minute for this one."""
    cookie = f'windowfall_screen_{device.host.partition(":")[2]}="' + "\\" * 5_000 + '"'
    began = time.monotonic()
    assert device.request("GET", "/events", Cookie=cookie)[0] in {400, 403}
    assert running.request("GET", "/")[0] == 200
    assert time.monotonic() - began < 5


def test_one_machine_has_no_more_than_its_share_of_connections(running, device):
    address, _, port = device.host.partition(":")
    with contextlib.ExitStack() as stack:
        lines = [stack.enter_context(socket.create_connection((address, int(port)), timeout=20)) for _ in range(40)]
        for line in lines:
            line.settimeout(2)
        assert running.request("GET", "/")[0] == 200
        assert sum(is_closed(line) for line in lines[-20:]) == 20


def is_closed(line):
    try:
        return line.recv(1) == b""
    except TimeoutError:
        return False
    except ConnectionError:
        return True


def test_what_opens_one_listener_does_not_open_the_other(running, device, wall):
    assert device.request("GET", f"/wall/{wall.id}/shop", Cookie=running.cookie)[0] == 403
    assert running.request("GET", f"/wall/{wall.id}/shop", Cookie=device.cookie)[0] == 403
    assert running.request("GET", "/", Host=device.host)[0] == 421


def test_the_desk_itself_is_not_to_be_had_in_the_network(running, device):
    with pytest.raises(OSError, match="refused"):
        socket.create_connection((device.host.partition(":")[0], running.port), timeout=5)


def test_who_waits_or_is_shut_out_sees_nothing(running, shared):
    waits = Device(running, shared)
    number = waits.enter()
    for path in (f"/wall/{shared.id}/shop", f"/wall/{shared.id}/bench", "/events"):
        assert waits.request("GET", path)[0] == 403
    assert "Landing" not in waits.request("GET", "/")[1]
    shared.ask("letin", number=number)
    assert waits.request("GET", f"/wall/{shared.id}/shop")[0] == 200
    shared.ask("shutout", number=number)
    assert waits.request("GET", f"/wall/{shared.id}/shop")[0] == 403


def listens(address, port):
    try:
        socket.create_connection((address, port), timeout=5).close()
    except ConnectionRefusedError:
        return False
    return True


def test_shut_off_it_listens_no_more_and_another_share_knows_nobody(running, wall, network):
    wall.ask("share", address=network)
    device = Device(running, wall)
    device.come_in()
    began = time.monotonic()
    wall.ask("unshare")
    with contextlib.suppress(OSError, http.client.HTTPException):
        assert device.request("GET", f"/wall/{wall.id}/shop")[0] in {403, 421}
    address, _, port = device.host.partition(":")
    while listens(address, int(port)):
        assert time.monotonic() < began + 3
    wall.ask("share", address=network)
    assert Device(running, wall).host == device.host
    assert device.request("GET", f"/wall/{wall.id}/shop")[0] == 403
    wall.ask("unshare")


def test_only_an_address_of_this_machine_is_shared(wall):
    for address in ("0.0.0.0", "127.0.0.1", "8.8.8.8", "", "localhost"):  # noqa: S104 - none of these may be had
        assert "does not have that address" in wall.ask("share", 422, address=address)["words"]
    for number in ("", "x", "٣", "12"):
        wall.ask("letin", 422, number=number)


@pytest.fixture
def phone(desk_browser):
    context = desk_browser.new_context(viewport={"width": 390, "height": 844}, is_mobile=True, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(SOON)
    page.errors = []
    page.on("pageerror", lambda error: page.errors.append(str(error)))
    yield page
    context.close()


@pytest.fixture
def owner(desk_browser, running):
    context = desk_browser.new_context(viewport={"width": 1280, "height": 900})
    name, _, value = running.cookie.partition("=")
    context.add_cookies([{"name": name, "value": value, "url": f"http://127.0.0.1:{running.port}"}])
    page = context.new_page()
    page.set_default_timeout(SOON)
    yield page
    context.close()


def looks_right(page, width=None):
    if width:
        page.set_viewport_size({"width": width, "height": 900})
        page.goto(page.url)  # it is drawn anew after each change; what is looked at is not
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_a_phone_is_let_in_ticks_and_keeps_its_ticks_when_it_is_shut_off(running, wall, owner, phone, network):
    owner.goto(f"http://127.0.0.1:{running.port}/wall/{wall.id}/shop")
    owner.get_by_role("link", name="have it on a phone").click()
    owner.wait_for_url("**/screens")
    looks_right(owner, 390)
    expect(owner.locator(".warn")).to_contain_text("use it at home only")
    owner.get_by_role("button", name="Share Shop and Bench").click()
    address, code = owner.locator(".qr strong").inner_text(), owner.locator("p.code").inner_text()
    assert network in address
    looks_right(owner, 390)

    phone.goto(address)
    looks_right(phone)
    phone.get_by_label("The code that the desk shows").fill(wrong(code.replace(" ", "")))
    phone.get_by_role("button").click()
    expect(phone.locator("#notice")).to_contain_text("4 tries are left")
    phone.goto("about:blank")
    phone.goto(f"{address}#{code.replace(' ', '')}")  # as the camera has read it
    expect(phone.locator("#waits")).to_be_visible()
    assert phone.url == address
    number = phone.locator("#number").inner_text()
    expect(owner.locator(".asks")).to_be_visible()
    looks_right(owner, 390)
    owner.get_by_role("button", name=f"Yes, it shows {number}: let it in").click()
    phone.wait_for_url("**/shop")
    phone.wait_for_load_state()
    looks_right(phone)

    owner.goto(f"http://127.0.0.1:{running.port}/wall/{wall.id}/bench")
    phone.get_by_role("link", name="Bench").click()
    phone.wait_for_url("**/bench")
    looks_right(phone)
    phone.locator("#next").click()
    expect(owner.locator("#now input[data-key]").first).to_be_checked()
    owner.locator("#now input[data-key]").nth(2).evaluate("box => box.click()")
    expect(phone.locator("#now input[data-key]").nth(2)).to_be_checked()

    wall.ask("unshare")
    expect(phone.locator("#notice")).to_contain_text("not shared any more")
    phone.locator("#next").click()  # from what the owner has ticked meanwhile
    phone.locator("#next").click()
    expect(phone.locator("#notice")).to_contain_text("The tick is kept here")
    phone.get_by_role("link", name="Shop").click()
    expect(phone.locator("#notice")).to_contain_text("Stay on this page")
    assert phone.url.endswith("/bench")
    wall.ask("share", address=network)
    owner.goto(f"http://127.0.0.1:{running.port}/wall/{wall.id}/screens")
    phone.goto(f"{address}#{owner.locator('p.code').inner_text().replace(' ', '')}")
    owner.get_by_role("button", name="let it in").click()
    phone.wait_for_url("**/shop")
    expect(phone.locator("#notice")).to_contain_text("1 tick sent to the desk.")
    assert len(json.loads((wall.plans()[-1] / "ticks.json").read_text())) == 4
    wall.ask("unshare")
    assert phone.errors == []


def test_the_owner_sees_from_where_a_wrong_code_came_and_that_one_is_too_old(running, shared, owner, network):
    owner.clock.install()
    owner.goto(f"http://127.0.0.1:{running.port}/wall/{shared.id}/screens")
    code = owner.locator("p.code")
    was = code.inner_text()
    shared.ask("newcode")  # the page is told of it, and waits for that one
    expect(code).not_to_have_text(was)
    tried = json.dumps({"code": wrong(code.inner_text().replace(" ", ""))}).encode()
    assert Device(running, shared).request("POST", "/enter", tried)[0] == 422
    expect(owner.locator(".warn").first).to_contain_text(f"A wrong code came from a tablet or computer at {network}.")
    expect(owner.locator("#main[inert]")).to_have_count(0)  # its scripts have run, and it waits
    with owner.expect_navigation():
        owner.clock.fast_forward(601_000)


@pytest.mark.parametrize("tabs", [1, 2])
def test_a_page_is_told_what_came_before_its_scripts_ran(running, shared, owner, tabs):
    """The first tab hears all that came on its own stream; the second has none, and asks."""
    address = f"http://127.0.0.1:{running.port}/wall/{shared.id}/screens"
    pages = [owner, *(owner.context.new_page() for _ in range(tabs - 1))]
    for page in pages[:-1]:
        page.goto(address)
        expect(page.locator("#main[inert]")).to_have_count(0)
    device = Device(running, shared)
    asked = []

    def late(route):
        if not asked:
            asked.append(device.enter())
        route.continue_()

    pages[-1].route("**/screens.js", late)
    pages[-1].goto(address)
    for page in pages:
        expect(page.locator(".asks")).to_contain_text(f"Screen {asked[0]} asks to be let in")


def test_a_phone_shows_the_answers_that_there_are_and_waits_for_none(running, network, phone):
    wall = Wall(running, "Porch", "Fern", "Vetch")
    plan = wall.plan()
    (wall.plans()[-1] / "till.json").unlink(missing_ok=True)
    wall.ask("share", address=network)
    device = Device(running, wall)
    device.come_in()
    name, _, value = device.cookie.partition("=")
    phone.context.add_cookies([{"name": name, "value": value, "url": f"http://{device.host}"}])
    phone.goto(f"http://{device.host}/wall/{wall.id}/shop")
    expect(phone.locator(".whatif")).to_be_hidden()
    wall.ask("aside", what="till", plan=plan)
    expect(phone.locator(".whatif")).to_contain_text("No moss at Quay shop")
    expect(phone.get_by_text("Still being worked out")).to_have_count(0)
    wall.ask("unshare")


def test_a_page_that_was_away_catches_up_with_what_others_ticked(running, wall, owner):
    """A screen that sleeps loses its stream and hears no tick; the stream that it opens next tells it to look."""
    key = "mat-M1"
    owner.goto(f"http://127.0.0.1:{running.port}/wall/{wall.id}/bench")
    box = owner.locator(f"input[data-key={key}]")
    expect(box).not_to_be_checked()
    folder = wall.plans()[-1]
    ticks = json.loads((folder / "ticks.json").read_text())
    (folder / "ticks.json").write_text(json.dumps([*ticks, key]))  # the page is told nothing
    owner.evaluate("tell => new BroadcastChannel('windowfall').postMessage(tell)", {"kind": "here", "planning": []})
    expect(box).to_be_checked()
