"""A browser without a screen, as the server's own page asks."""

from pathlib import Path

from starlette.testclient import TestClient

SCENES = Path(__file__).resolve().parents[2] / "scenes"
PORT = 8123
HOME = f"http://127.0.0.1:{PORT}"


class Browser(TestClient):
    """A browser that has been let in, with the address and the origin of the server's own page."""

    def __init__(self, app, token):
        super().__init__(app, base_url=HOME, headers={"origin": HOME}, follow_redirects=True)
        if token:
            assert self.get(f"/?token={token}").status_code == 200

    def state(self):
        return self.get("/api/state").json()

    def post_json(self, path, body=None):
        return self.post(path, json={} if body is None else body)

    def listen(self, headers=None):
        return self.websocket_connect(f"ws://127.0.0.1:{PORT}/api/events", headers=dict(headers or {}))

    def change(self, *edits, client="a", revision=None):
        sent = {
            "revision": self.state()["revision"] if revision is None else revision,
            "client": client,
            "edits": [{"variant": variant, "key": key, "value": value} for variant, key, value in edits],
        }
        return self.post("/api/change", json=sent)
