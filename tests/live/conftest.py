import shutil
from pathlib import Path

import pytest
from browsing import PORT, SCENES, Browser

from preview.live.app import live_app
from preview.live.guard import Keys, own_hosts
from preview.live.record import new_record, record_file, write_record
from preview.live.served import Served
from preview.live.workspace import Workspace


@pytest.fixture(autouse=True)
def own_state_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


@pytest.fixture
def scene(tmp_path):
    return Path(shutil.copy(SCENES / "dining-room.toml", tmp_path / "dining-room.toml"))


@pytest.fixture
def opened(scene):
    """Return a function that opens the scene as the server does, with what is left of a server before."""
    opened = []

    def open_scene(file=scene, **options):
        content = file.read_bytes()
        path = record_file(file)
        record = new_record()
        write_record(path, record)
        work = Workspace(file, content, content.decode("utf-8-sig"), None, (path, record), **options)
        opened.append(work)
        return work

    yield open_scene
    for each in opened:
        each.session.close()


@pytest.fixture
def work(opened):
    return opened()


@pytest.fixture
def keys():
    return Keys("f" * 43, "c" * 43, own_hosts({"127.0.0.1", "localhost"}, PORT), PORT)


@pytest.fixture
def app(work, keys):
    return live_app(Served(work), keys)


@pytest.fixture
def firm(app, keys):
    return Browser(app, keys.firm)


@pytest.fixture
def customer(app, keys):
    return Browser(app, keys.customer)


@pytest.fixture
def stranger(app):
    return Browser(app, "")
