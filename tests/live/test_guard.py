"""Who gets in, and what is held against those who don't."""

import pytest
from browsing import HOME, PORT
from starlette.websockets import WebSocketDisconnect

POSTS = ("change", "undo", "redo", "save", "reload", "offer", "variant")


def test_the_token_is_exchanged_for_a_cookie_that_scripts_and_other_sites_do_not_get(stranger, keys):
    answer = stranger.get(f"/?token={keys.firm}", follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/"
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith(f"preview-{PORT}=")
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= {each.strip() for each in cookie.split(";")}


@pytest.mark.parametrize("path", ["/", "/api/state", "/picture", "/static/page.js", "/api/numbers", "/none"])
def test_nothing_is_shown_without_the_cookie(stranger, path):
    answer = stranger.get(path)
    assert answer.status_code == 403
    assert "token" in answer.text
    assert "Dining" not in answer.text


@pytest.mark.parametrize("token", ["", "x", "f" * 42, "f" * 44, "F" * 43, "%00", "f" * 43 + "%0a"])
def test_a_wrong_token_lets_nobody_in(stranger, token):
    answer = stranger.get(f"/?token={token}", follow_redirects=False)
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize("cookie", ["", "x", "f" * 44, '"', "f" * 42 + ";"])
def test_a_wrong_cookie_lets_nobody_in(stranger, cookie):
    answer = stranger.get("/api/state", headers={"cookie": f"preview-{PORT}={cookie}"})
    assert answer.status_code == 403


@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", "127.0.0.1", "127.0.0.1:80", f"127.0.0.1.evil.example:{PORT}", ""]
)
def test_a_name_that_is_not_the_servers_own_is_refused(firm, host):
    """A page whose name is made to resolve to this machine sends its own name."""
    answer = firm.get("/api/state", headers={"host": host})
    assert answer.status_code == 421
    assert "Dining" not in answer.text


@pytest.mark.parametrize(
    "origin", ["https://evil.example", "null", "http://127.0.0.1:9999", f"https://127.0.0.1:{PORT}", HOME + ".evil"]
)
@pytest.mark.parametrize("post", POSTS)
def test_another_site_can_change_nothing(firm, post, origin, work):
    before = work.now.text
    answer = firm.post(f"/api/{post}", json={"do": "delete", "variant": "On the archway"}, headers={"origin": origin})
    assert answer.status_code == 403
    assert work.now.text == before


def test_what_changes_something_needs_an_origin(firm, work):
    del firm.headers["origin"]
    before = work.now.text
    answer = firm.post("/api/variant", json={"do": "delete", "variant": "On the archway"})
    assert answer.status_code == 403
    assert work.now.text == before


def test_another_site_can_not_ask_in_the_browsers_name(firm):
    assert firm.get("/api/state", headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert firm.get("/api/state", headers={"sec-fetch-site": "same-origin"}).status_code == 200


@pytest.mark.parametrize("headers", [{"origin": "https://evil.example"}, {"origin": ""}, {"host": "evil.example"}])
def test_another_site_can_not_listen(firm, headers):
    with firm.listen():
        pass
    with pytest.raises(WebSocketDisconnect), firm.listen(headers) as socket:
        socket.receive_json()


def test_nobody_listens_without_the_cookie(stranger):
    with pytest.raises(WebSocketDisconnect), stranger.listen() as socket:
        socket.receive_json()


def test_every_answer_has_the_policy_that_keeps_scripts_out(firm, stranger):
    for answer in (firm.get("/"), firm.get("/api/state"), firm.get("/none"), stranger.get("/")):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/static/..%2fapp.py",
        "/static//etc/passwd",
        "/etc/passwd",
        "/static/",
        "/static/index.html",
        "/static/%00",
        "/../../../../etc/passwd",
        "/dining-room.toml",
        "/paper/../../etc/passwd",
        "/swatch/species/..%2f..%2fgrades",
    ],
)
def test_no_address_leads_to_a_file(firm, path):
    answer = firm.get(path)
    assert answer.status_code in (404, 422)
    assert "root:" not in answer.text
    assert "import" not in answer.text


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"x" * 300_000, 413),
        (b"{", 422),
        (b"[]", 422),
        (b"[" * 100_000, 422),
        (b"\xff\xfe", 422),
        (b'{"revision": "1"}', 422),
        (b'{"revision": 1, "edits": [1]}', 422),
    ],
)
def test_what_is_no_change_changes_nothing(firm, work, body, status):
    before = work.now.text
    answer = firm.post("/api/change", content=body, headers={"content-type": "application/json"})
    assert answer.status_code == status
    assert "Traceback" not in answer.text
    assert work.now.text == before


def test_a_form_is_not_taken(firm, work):
    """The content type that a form of another site can't send without the browser asking first."""
    answer = firm.post("/api/undo", content=b"{}", headers={"content-type": "text/plain"})
    assert answer.status_code == 422


@pytest.mark.parametrize("path", ["/api/numbers", "/api/costs", "/api/options", "/api/room"])
def test_the_customer_sees_no_numbers(customer, path):
    assert customer.get(path).status_code in (403, 404)


@pytest.mark.parametrize("post", [*POSTS, "papers", "room"])
def test_the_customer_changes_nothing(customer, work, post):
    before = work.now.text
    assert customer.post_json(f"/api/{post}", {"do": "delete", "variant": "On the archway"}).status_code in (403, 404)
    assert work.now.text == before


def test_the_customer_sees_pictures_and_names_alone(customer):
    state = customer.state()
    assert state["mode"] == "customer"
    assert set(state) == {"revision", "told", "title", "units", "mode", "views", "wood_note", "variants"}
    assert [set(each) for each in state["variants"]] == [{"name", "base"}] * 3
