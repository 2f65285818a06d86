"""The plain pages open to those who have the code, at this computer's own name; files can be fetched."""

import html
import http.client
import re
import urllib.parse

import front
import pages
import pytest

from bladelab.show.clinic.deck import TOPICS
from tests.browser import harness, samples
from tests.browser.for_all import violations
from tests.browser.page import wait_for

FIRST = pages.FIRST_PAGE

# Runs in the page of the clinic: unticks topics.
LEAVE_OUT = "topics => topics.forEach(one => document.querySelector(`[data-dial='${one}']`).click())"


@pytest.fixture(scope="module")
def on_network(project_copy):
    """Plain pages that were started for the network."""
    server = harness.start_server("voila", project_copy, "--network")
    yield server
    server.stop()


@pytest.fixture(params=["alone", "on the network"])
def server(request, voila, on_network):
    """The pages, for this computer only and for the network."""
    return voila if request.param == "alone" else on_network


def ask(server, place, method="GET", body=None, to="127.0.0.1", **headers):
    """Ask a server and return its answer, with its text read."""
    port = int(server.address.rsplit(":", 1)[1])
    line = http.client.HTTPConnection(to, port, timeout=30)
    line.request(method, place, body, headers)
    answer = line.getresponse()
    answer.text = answer.read().decode(errors="replace")
    line.close()
    return answer


def port(server):
    return server.address.rsplit(":", 1)[1]


@pytest.mark.parametrize("place", [FIRST, "/voila/tree", "/api/kernels", "/files/00_start_here.ipynb"])
def test_without_the_code_nothing_is_shown(server, place):
    for wrong in ("", "?token=", "?token=abcdefgh"):
        answer = ask(server, place + wrong)
        assert answer.status in (302, 403), (place, wrong)
        assert "panel" not in answer.text and "ipynb" not in answer.text.replace(place, "")


def test_the_code_opens_the_pages(server):
    answer = ask(server, f"/voila/tree?token={server.token}")
    assert answer.status == 200 and "voila" in answer.text


def test_they_open_on_a_page_that_leads_to_every_question(server):
    answer = ask(server, f"{FIRST}?token={server.token}")
    assert answer.status == 200
    said = html.unescape(answer.text)
    for theme in front.themes(harness.ROOT / "notebooks"):
        for page in theme.pages:
            assert f'href="/voila/render/{page.file}">{page.question}</a>' in said
    for way in ("I have a skater", "I have a team", "I have a question"):
        assert f">{way}</a>" in answer.text


def test_the_front_page_is_for_all(voila, browser):
    page = browser.new_page()
    page.goto(f"{voila.address}{FIRST}?token={voila.token}")
    assert page.get_by_role("heading", name="All the questions").is_visible()
    assert violations(page) == []
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.close()


@pytest.mark.parametrize("name", ["evil.example", "localhost.evil.example", "127.0.0.1.evil.example"])
@pytest.mark.parametrize("place", [FIRST, "/", "/login", "/api", "/files/pictures/main_panel.png"])
def test_a_name_that_is_not_this_computers_gets_nothing(server, name, place):
    answer = ask(server, f"{place}?token={server.token}", Host=f"{name}:{port(server)}")
    assert answer.status in (403, 404) and answer.text == ""


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost", "[::1]"])
def test_its_own_names_are_heard(server, name):
    answer = ask(server, f"/api?token={server.token}", Host=f"{name}:{port(server)}")
    assert answer.status == 200


def test_a_telephone_types_the_address_and_the_code(on_network):
    said = on_network.log.read_text()
    address = re.search(r"(http://(\S+):\d+/)\n    code: (\S+)\n", said)
    assert address and address[3] == on_network.token
    assert "Take care" in said
    number = pages.own_address()
    assert number is None or address[2] == number
    own = number or "127.0.0.1"
    host = f"{own}:{port(on_network)}"
    first = ask(on_network, "/", to=own)
    assert first.status == 302 and first.headers["Location"].rstrip("?") == FIRST
    asked = ask(on_network, FIRST, to=own)
    assert asked.status == 302
    form = ask(on_network, asked.headers["Location"], to=own)
    assert "The code" in form.text and 'name="password"' in form.text
    cookie = form.headers["Set-Cookie"].split(";")[0]
    _, xsrf = cookie.split("=", 1)
    for code, status in (("not-it", 401), (on_network.token, 302)):
        body = urllib.parse.urlencode({"_xsrf": xsrf, "password": code})
        kind = {"Content-Type": "application/x-www-form-urlencoded", "Cookie": cookie, "Host": host}
        answer = ask(on_network, asked.headers["Location"], "POST", body, own, **kind)
        assert answer.status == status
        assert ("That isn't the code" in answer.text) == (status == 401)
    assert answer.headers["Location"] == FIRST
    cookies = "; ".join(one.split(";")[0] for one in answer.headers.get_all("Set-Cookie"))
    assert ask(on_network, "/api/kernels", to=own, Cookie=cookies).status == 200


def test_started_for_this_computer_it_is_not_on_the_network(voila):
    number = pages.own_address()
    if number is None:
        pytest.skip("this computer is in no network")
    with pytest.raises(OSError):
        ask(voila, "/api", to=number)
    assert "code:" not in voila.log.read_text()


def test_each_start_has_a_code_of_its_own_that_can_be_typed():
    codes = {pages.settings(network=True).IdentityProvider.token for _ in range(50)}
    assert len(codes) == 50 and all(re.fullmatch("[a-z2-9]{8}", code) for code in codes)
    assert len(set("".join(codes))) > 20


def test_files_of_the_clinic_are_fetched_by_a_link(voila, browser, sample, open_notebook, saved, tmp_path):
    browser.clear_cookies(name="_xsrf")  # as if this were the first page
    notebook = open_notebook(voila, sample("notebooks/clinic.ipynb", True, samples.CLINIC).name)
    notebook.wait_until_run()
    notebook.wait_for_panel()
    page = notebook.page
    page.evaluate(LEAVE_OUT, list(TOPICS)[2:])  # a few slides are written sooner than all
    page.get_by_role("tab", name="files").click()
    for other in ("handout (PDF)", "quiz as slides", "quiz to take home", "pictures (SVG and PNG)"):
        page.get_by_label(other).uncheck()
    page.get_by_role("button", name="write the files").click()
    links = page.locator(".bladelab-downloads a")
    # Each file that is written moves what is below the line that tells of it.
    page.get_by_text("2 files written to").wait_for(timeout=90_000)
    assert links.count() == 2
    for number in range(2):
        with page.expect_download() as fetched:
            links.nth(number).click()
        name = fetched.value.suggested_filename
        fetched.value.save_as(tmp_path / name)
        (written,) = saved.rglob(name)
        assert (tmp_path / name).read_bytes() == written.read_bytes()
    assert {path.suffix for path in tmp_path.iterdir()} == {".pptx", ".pdf"}
    place = links.first.get_attribute("href")
    assert ask(voila, place).status in (302, 403), "not without the code"
    assert notebook.all_errors() == []
    page.goto("about:blank")
    wait_for(lambda: ask(voila, f"/api/kernels?token={voila.token}").text == "[]")  # it ends with its page
