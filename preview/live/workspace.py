"""The scene as it stands at the table: changed, undone, kept as a variant, saved; one for all browsers.

Every change makes a new text of the scene, read anew by the same reader as `check` and `render`, and a new revision of
the session that lays and draws it. A text that can't be read, or whose changed variant can't be laid, changes nothing.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from threading import RLock
from typing import Any

from preview.errors import Place, SceneError, UsageError
from preview.files import write_whole
from preview.letters import plain, same
from preview.live.companions import with_companions
from preview.live.controls import Control, controls
from preview.live.record import Record, write_record
from preview.live.values import toml_value, values
from preview.picture.picture import NATURE
from preview.scene.document import MOST_BYTES
from preview.scene.edit import Edit, edited, value_at
from preview.scene.job import Job
from preview.scene.nodes import suggest
from preview.scene.read import read_scene
from preview.session import Session

Json = dict[str, Any]

MOST_UNDONE = 200
"""Changes that can be taken back."""

REMEMBERED = 500
"""Revisions of which it is known which keys they changed."""


class Conflict(Exception):
    """What was asked for would undo what someone else did meanwhile; the message says so in words."""


@dataclass(frozen=True)
class Version:
    """The scene at one time: its text, what it says, its jobs, and in words what led to it."""

    text: str
    document: Mapping[str, Any]
    jobs: tuple[Job, ...]
    what: str = ""


@dataclass(frozen=True)
class Change:
    """An edit as a page asks for it: `variant` None for the base, `value` as it was typed or chosen, None for out."""

    variant: str | None
    key: str
    value: object


class Workspace:
    """A scene that several browsers change. Safe in several threads; one change is made after the other."""

    def __init__(
        self,
        file: Path,
        content: bytes | None,
        text: str,
        materials: Path | None,
        record: tuple[Path, Record] | None = None,
        first: int = 1,
    ) -> None:
        """Open a scene.

        Args:
            file: where it is saved; `content` is what is in that file, None for nothing yet, and `text` the scene.
            materials: a folder of material files that adds to the program's own.
            record: where what is unsaved is written at every change, and how it stands there now.
            first: number of the first revision.

        Raises:
            SceneError, UsageError: as `read_scene`.
        """
        self.file, self._materials = file, materials
        self._bom = (content or b"").startswith(b"\xef\xbb\xbf")
        self._content, self._saved = content, text if content is not None else ""
        self._lock = RLock()
        self._now = self._read(text, "")
        self._undo: list[Version] = []
        self._redo: list[Version] = []
        self._opened = self._now
        self.session = Session(self._now.jobs, first)
        self._changed: dict[int, tuple[str, frozenset[tuple[str, str]]]] = {}
        self._record = record
        self._offer = record[1].unsaved if record and record[1].unsaved != text else None
        self._file_words: str | None = None
        self._controls: tuple[Control, ...] = ()
        self._controls_of: Job | None = None
        self.listeners: list[Callable[[], None]] = []

    # What it is

    @property
    def revision(self) -> int:
        """The number of the newest change."""
        return self.session.revision

    @property
    def now(self) -> Version:
        """The scene as it stands."""
        return self._now

    @property
    def saved(self) -> bool:
        """Whether the file has the scene as it stands."""
        return self._now.text == self._saved

    @property
    def priced(self) -> Job:
        """The floor that a firm's prices were written for: the base as it was opened or saved."""
        return self._opened.jobs[0]

    def name_of(self, variant: str | None) -> str | None:
        """Return a variant's name as the session takes it: None for the base, however it is named.

        Raises:
            UsageError: none is called so.
        """
        number = self._number(variant, self._now)
        return None if number == 0 else self._now.jobs[number].variant

    def controls(self) -> tuple[Control, ...]:
        """Return what can be chosen."""
        with self._lock:
            base = self._now.jobs[0]
            if self._controls_of is not base:
                self._controls, self._controls_of = controls(base), base
            return self._controls

    def state(self) -> Json:
        """Return the scene as it stands for a page, all but what takes drawing or laying."""
        with self._lock:
            now, shown = self._now, self.controls()
            found = {job.variant: values(shown, now.document, number, now.jobs) for number, job in enumerate(now.jobs)}
            return {
                "revision": self.revision,
                "saved": self.saved,
                "file": self.file.name,
                "title": now.jobs[0].title,
                "units": now.jobs[0].units,
                "variants": [
                    {
                        "name": job.variant,
                        "base": n == 0,
                        "changes": self._changes(n, found[job.variant]),
                        "same": n > 0 and replace(job, variant=now.jobs[0].variant) == now.jobs[0],
                    }
                    for n, job in enumerate(now.jobs)
                ],
                "controls": [each.told() for each in shown],
                "values": found,
                "undo": bool(self._undo),
                "redo": bool(self._redo),
                "undo_words": now.what if self._undo else "",
                "redo_words": self._redo[-1].what if self._redo else "",
                "wood_note": NATURE,
                "offer": {"words": self._offer_words()} if self._offer is not None else None,
                "file_changed": self._file_words,
            }

    def _changes(self, number: int, found: Mapping[str, Json]) -> list[str]:
        """Return in words what a variant has of its own."""
        if number == 0:
            return []
        own = value_at(self._now.document, f"variants[{number}]")
        told = [f"{each.label}: {found[each.key]['text']}" for each in self.controls() if found[each.key]["own"]]
        measured = [key for key in ("room", "openings", "obstacles", "vents") if key in own]
        return told + [f"{each.capitalize()} measured otherwise" for each in measured]

    def _offer_words(self) -> str:
        since = self._record[1].since if self._record else ""
        return f"Changes that were not saved{f' on {since}' if since else ''} are still there."

    # Changes

    def change(self, revision: int, client: str, wanted: Sequence[Change]) -> None:
        """Make changes, all or none.

        Raises:
            Conflict: `revision` isn't the newest, and another `client` has changed one of the same keys since.
            SceneError, UsageError: they can't be made; the scene stands as it was.
        """
        with self._lock:
            keys = frozenset((same(each.variant or ""), each.key) for each in wanted)
            self._check_meanwhile(revision, client, keys)
            text = self._with(self._now, wanted)
            self._adopt(text, self._words(wanted), client, keys, [each.variant for each in wanted])

    def _check_meanwhile(self, revision: int, client: str, keys: frozenset[tuple[str, str]]) -> None:
        newest = self.revision
        if revision == newest:
            return
        for number in range(revision + 1, newest + 1):
            who, changed = self._changed.get(number, ("", frozenset()))
            if who != client and (number not in self._changed or changed & keys):
                raise Conflict("Someone else has just changed the same thing. This is how it stands now.")

    def _with(self, version: Version, wanted: Sequence[Change]) -> str:
        """Return a version's text with changes made, checked as to their form."""
        known = {each.key: each for each in self.controls()}
        text, document = version.text, version.document
        for each in wanted:
            number = self._number(each.variant, version)
            if each.key not in known:
                raise SceneError(Place(self.file.name, each.key[:100]), "no such choice", suggest(each.key, known))
            control = known[each.key]
            value = toml_value(control, each.value, self.file.name, version.jobs[number])
            edits = with_companions(each.key, value, document, number, version.jobs[number])
            text = edited(text, edits, self.file.name)
            document = tomllib.loads(text)
        return text

    def with_changes(self, wanted: Sequence[Change]) -> tuple[Job, ...]:
        """Return the jobs that there would be with changes made, which aren't."""
        return self._read(self._with(self._now, wanted), "").jobs

    def _words(self, wanted: Sequence[Change]) -> str:
        labels = {each.key: each.label for each in self.controls()}
        return ", ".join(dict.fromkeys(labels.get(each.key, each.key) for each in wanted))

    def replace(self, edits: Sequence[Edit], what: str) -> None:
        """Make edits of the file by its own keys, all or none: what is measured of the room."""
        with self._lock:
            self._adopt(edited(self._now.text, edits, self.file.name), what, "", frozenset(), [None])

    def undo(self) -> None:
        """Take the last change back; where there is none, nothing happens."""
        with self._lock:
            if self._undo:
                self._redo.append(self._now)
                self._take(self._undo.pop(), "", None)

    def redo(self) -> None:
        """Make the change again that was taken back last."""
        with self._lock:
            if self._redo:
                self._undo.append(self._now)
                self._take(self._redo.pop(), "", None)

    def keep(self, name: str, variant: str | None, wanted: Sequence[Change] = ()) -> None:
        """Keep what there is as a new variant under a name.

        From a variant it is a copy. From the base it has what was changed in the base since it was opened or saved, and
        the base goes back to how it was. `wanted` is put on top of either.

        Raises:
            SceneError, UsageError: a name that is taken, or nothing that differs.
        """
        with self._lock:
            number = self._number(variant, self._now)
            start = self._now
            settings = dict(value_at(start.document, f"variants[{number}]")) if number else {}
            if number == 0 and self._now.text != self._opened.text:
                settings = self._base_changes()
                if settings:
                    start = self._read(self._reverted(), "")
            settings["name"] = self._new_name(name)
            count = len(start.jobs)
            text = edited(start.text, [Edit(f"variants[{count}]", settings)], self.file.name)
            if wanted:
                there = replace(start, text=text, document=tomllib.loads(text), jobs=(*start.jobs, start.jobs[number]))
                there = replace(there, jobs=(*start.jobs, replace(start.jobs[number], variant=settings["name"])))
                text = self._with(there, [replace(each, variant=settings["name"]) for each in wanted])
            self._adopt(text, f"keep as {settings['name']}", "", frozenset(), [settings["name"]])

    def rename(self, variant: str | None, to: str) -> None:
        """Give a variant another name.

        Raises:
            SceneError, UsageError: no such variant, or the name is taken.
        """
        with self._lock:
            number = self._number(variant, self._now)
            key = f"variants[{number}].name" if number else "base_name"
            name = self._new_name(to, self._now.jobs[number].variant)
            self._adopt(edited(self._now.text, [Edit(key, name)], self.file.name), "the name", "", frozenset(), [name])

    def delete(self, variant: str | None) -> None:
        """Take a variant out of the scene.

        Raises:
            UsageError: no such variant, or it is the base.
        """
        with self._lock:
            number = self._number(variant, self._now)
            if number == 0:
                raise UsageError("the scene itself can't be deleted, only its variants")
            name = self._now.jobs[number].variant
            text = edited(self._now.text, [Edit(f"variants[{number}]", None)], self.file.name)
            self._adopt(text, f"delete {name}", "", frozenset(), [None])

    def _base_changes(self) -> Json:
        """Return what of the base differs from when it was opened or saved, as a variant sets it."""
        before, now = self._opened.document, self._now.document
        found: Json = {}
        for key in _varying_paths(now):
            value = value_at(now, key)
            if value != value_at(before, key) and value is not None:
                _put(found, key, value)
        return found

    def _reverted(self) -> str:
        """Return the scene with its base as it was opened or saved, its variants as they are now."""
        before, now = self._opened.document, self._now.document
        edits = [
            Edit(key, value_at(before, key))
            for key in dict.fromkeys((*_varying_paths(now), *_varying_paths(before)))
            if value_at(before, key) != value_at(now, key)
        ]
        return edited(self._now.text, edits, self.file.name)

    def _new_name(self, name: str, but: str = "") -> str:
        found = plain(name)
        if not found or len(found) > 200:
            raise SceneError(Place(self.file.name, "name"), "no name" if not found else "a long name", "give a name")
        if same(found) in {same(job.variant) for job in self._now.jobs if job.variant != but}:
            raise SceneError(Place(self.file.name, "name"), f'a second variant "{found}"', "give it another name")
        return found

    def _number(self, variant: str | None, version: Version) -> int:
        if variant is None or not variant:
            return 0
        for number, job in enumerate(version.jobs):
            if same(job.variant) == same(variant):
                return number
        known = [job.variant for job in version.jobs]
        raise UsageError(f'no variant is called "{variant[:200]}"; {suggest(variant[:200], known)}')

    def _read(self, text: str, what: str) -> Version:
        if len(text.encode()) > MOST_BYTES:
            raise UsageError("the scene would be too large; a scene is a short text, of 1 MB at most")
        jobs = read_scene(text, str(self.file), materials=self._materials, equal=True)
        return Version(text, tomllib.loads(text.removeprefix("\ufeff")), jobs, what)

    def _adopt(
        self, text: str, what: str, client: str, keys: frozenset[tuple[str, str]], touched: Sequence[str | None]
    ) -> None:
        """Take a new text for the scene, if it can be read and the variants that were touched can be laid."""
        if text == self._now.text:
            return
        version = self._read(text, what)
        for number in {self._number(each, version) for each in touched}:
            self.session.lay(version.jobs[number])
        self._undo = [*self._undo, self._now][-MOST_UNDONE:]
        self._redo = []
        self._take(version, client, keys)

    def _take(self, version: Version, client: str, keys: frozenset[tuple[str, str]] | None) -> None:
        """Make a version the newest, write what is unsaved, and tell who listens."""
        self._now = version
        revision = self.session.change(version.jobs)
        if keys is not None:
            self._changed[revision] = client, keys
            self._changed.pop(revision - REMEMBERED, None)
        self._write_record()
        self._tell()

    def _tell(self) -> None:
        for each in list(self.listeners):
            each()

    # Files

    def save(self, over: bool = False) -> None:
        """Write the scene file, whole or not at all.

        Raises:
            Conflict: the file was changed by something else, and it isn't to be written `over`.
            SceneError: a variant has come to be the same as the base, which no scene file may have.
            UsageError: it can't be written.
        """
        with self._lock:
            read_scene(self._now.text, str(self.file), materials=self._materials)
            there = self._there()
            if there != self._content and not over:
                self._file_words = f"{self.file.name} was changed elsewhere since it was opened here."
                raise Conflict(f"{self._file_words} Save over it, or take it as it is there.")
            content = (b"\xef\xbb\xbf" if self._bom else b"") + self._now.text.encode()
            write_whole(self.file, content)
            self._content, self._saved, self._opened = content, self._now.text, self._now
            self._file_words = None
            self._write_record()
            self._tell()

    def reload(self) -> None:
        """Take the scene as the file has it now; what was here can be had back by undoing.

        Raises:
            SceneError, UsageError: it can't be read, or not be laid.
        """
        with self._lock:
            content = self._there()
            if content is None:
                raise UsageError(f"{self.file.name}: the file is gone")
            text = _text(content, self.file)
            self._read(text, "")
            self._content, self._saved, self._file_words = content, text, None
            self._adopt(text, "the file, changed elsewhere", "", frozenset(), [None])
            self._opened = self._now
            self._write_record()
            self._tell()

    def look_at_file(self) -> str | None:
        """See whether the file was changed elsewhere: take it where nothing here is unsaved, else return words."""
        with self._lock:
            content = self._there()
            if content == self._content:
                if self._file_words is not None:
                    self._file_words = None
                    self._tell()
                return None
            before = self._file_words
            if content is None:
                self._file_words = f"{self.file.name} is gone. Save writes it again."
            elif self.saved:
                try:
                    self.reload()
                    return None
                except (SceneError, UsageError) as error:
                    self._file_words = f"{self.file.name} was changed elsewhere and can't be read now: {error}"
            else:
                self._file_words = f"{self.file.name} was changed elsewhere while there are unsaved changes here."
            if self._file_words == before:
                return None
            self._tell()
            return self._file_words

    def offer(self, take: bool) -> None:
        """Take what a killed server left unsaved, or drop it.

        Raises:
            SceneError, UsageError: it can't be read; it stays offered.
        """
        with self._lock:
            if self._offer is None:
                return
            text = self._offer
            if take:
                self._read(text, "")
                self._offer = None
                self._adopt(text, "what was not saved", "", frozenset(), [None])
            self._offer = None
            self._write_record()
            self._tell()

    def _there(self) -> bytes | None:
        try:
            with self.file.open("rb") as file:
                return file.read(MOST_BYTES + 1)
        except FileNotFoundError:
            return None
        except OSError as error:
            raise UsageError(f"{self.file.name}: can't be read ({error.strerror})") from error

    def _write_record(self) -> None:
        """Write what is unsaved to where it outlives this process; what is still offered stays until it is decided."""
        if self._record is None:
            return
        path, record = self._record
        unsaved = self._offer if self._offer is not None else None if self.saved else self._now.text
        if unsaved != record.unsaved:
            since = f"{datetime.now():%d %B, %H:%M}" if self._offer is None else record.since
            record = replace(record, unsaved=unsaved, since=since)
            self._record = path, record
            write_record(path, record)


def _text(content: bytes, file: Path) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UsageError(f"{file.name}: no text in UTF-8") from None


def _varying_paths(document: Mapping[str, Any]) -> list[str]:
    """Return the keys of the base that a variant may set, as a variant sets them."""
    from preview.scene.schema import INNER, SECTIONS, VARYING

    found = []

    def walk(table: Mapping[str, Any], within: str) -> None:
        for key, value in table.items():
            path = within + key
            if path in (*SECTIONS, *INNER) and isinstance(value, Mapping):
                walk(value, f"{path}.")
            elif within or key in VARYING:
                found.append(path)

    walk(document, "")
    return found


def _put(settings: Json, key: str, value: object) -> None:
    *tables, last = key.split(".")
    for each in tables:
        settings = settings.setdefault(each, {})
    settings[last] = value
