"""The scene as it stands at the table: changed, undone, kept as a variant, saved; one for all browsers.

Every change makes a new text of the scene, read anew by the same reader as `check` and `render`, and a new revision of
the session that lays and draws it. A text that can't be read, or whose changed variant can't be laid, changes nothing.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from threading import RLock
from typing import Any

from preview.errors import Place, SceneError, UsageError
from preview.letters import plain, same
from preview.live.companions import with_companions
from preview.live.controls import Control, controls
from preview.live.record import Record, write_record
from preview.live.scene_file import SceneFile
from preview.live.scene_state import scene_state
from preview.live.scene_version import SceneVersion, base_changes, read_version, with_base_of
from preview.live.values import toml_value
from preview.picture.picture import NATURE
from preview.scene.edit import Edit, edited
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
        self._file, self._materials = SceneFile(file, content), materials
        self._lock = RLock()
        self._now = self._opened = self._read(text)
        self._undo: list[SceneVersion] = []
        self._redo: list[SceneVersion] = []
        self.session = Session(self._now.jobs, first)
        self._changed: dict[int, tuple[str, frozenset[tuple[str, str]]]] = {}
        self._record = record
        self._offer = record[1].unsaved if record and record[1].unsaved != text else None
        self._file_words: str | None = None
        self._controls: tuple[tuple[Control, ...], Job] | None = None
        self._told = 0
        self._state: tuple[int, Json] = -1, {}
        self.listeners: list[Callable[[], None]] = []

    @contextmanager
    def at_rest(self) -> Iterator[None]:
        """Hold everything that changes or saves the scene, once what has begun is done."""
        with self._lock:
            yield

    # What it is

    @property
    def revision(self) -> int:
        """The number of the newest change."""
        return self.session.revision

    @property
    def now(self) -> SceneVersion:
        """The scene as it stands."""
        return self._now

    @property
    def file(self) -> Path:
        """Where it is saved."""
        return self._file.path

    @property
    def saved(self) -> bool:
        """Whether the file has the scene as it stands."""
        return self._now.text == self._file.text

    @property
    def unsaved(self) -> bool:
        """Whether something would be lost without its record: what was changed here, or is still offered."""
        return self._offer is not None or (not self.saved and not self.new)

    @property
    def new(self) -> bool:
        """Whether it is a new room, of which there is no file yet and in which nothing was changed."""
        return not self._file.text and not self._undo

    @property
    def priced(self) -> Job:
        """The floor that a firm's prices were written for: the base as it was opened or saved."""
        return self._opened.jobs[0]

    def name_of(self, variant: str | None) -> str | None:
        """Return a variant's name as the session takes it: None for the base, however it is named.

        Raises:
            UsageError: none is called so.
        """
        now = self._now
        number = now.number(variant)
        return now.jobs[number].variant if number else None

    def controls(self) -> tuple[Control, ...]:
        """Return what can be chosen."""
        with self._lock:
            base = self._now.jobs[0]
            if self._controls is None or self._controls[1] is not base:
                self._controls = controls(base), base
            return self._controls[0]

    def state(self) -> Json:
        """Return the scene as it stands for a page, all but what takes drawing or laying; made once for all pages."""
        with self._lock:
            if self._state[0] != self._told:
                self._state = self._told, self._state_now()
            return dict(self._state[1])

    def _state_now(self) -> Json:
        return {
            "revision": self.revision,
            "told": self._told,
            "saved": self.saved,
            "file": self._file.name,
            **scene_state(self._now, self.controls()),
            "undo": bool(self._undo),
            "redo": bool(self._redo),
            "undo_words": self._now.what if self._undo else "",
            "redo_words": self._redo[-1].what if self._redo else "",
            "wood_note": NATURE,
            "offer": {"words": self._offer_words()} if self._offer is not None else None,
            "file_changed": self._file_words,
        }

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
            numbers = [self._now.number(each.variant) for each in wanted]
            keys = frozenset((str(n), each.key) for n, each in zip(numbers, wanted, strict=True))
            self._check_meanwhile(revision, client, keys)
            text = self._with(self._now, wanted)
            labels = {each.key: each.label for each in self.controls()}
            what = ", ".join(dict.fromkeys(labels.get(each.key, each.key) for each in wanted))
            self._adopt(text, what, client, keys, numbers)

    def _check_meanwhile(self, revision: int, client: str, keys: frozenset[tuple[str, str]]) -> None:
        for number in range(max(revision, self.revision - REMEMBERED - 1) + 1, self.revision + 1):
            who, changed = self._changed.get(number, ("", None))
            if (changed is None or changed & keys) and not (client and who == client):
                raise Conflict("Someone else has just changed the same thing. This is how it stands now.")

    def _with(self, version: SceneVersion, wanted: Sequence[Change]) -> str:
        """Return a version's text with changes made, checked as to their form."""
        known = {each.key: each for each in self.controls()}
        text, document = version.text, version.document
        for each in wanted:
            number = version.number(each.variant)
            if each.key not in known:
                raise SceneError(Place(self._file.name, each.key[:100]), "no such choice", suggest(each.key, known))
            value = toml_value(known[each.key], each.value, self._file.name, version.jobs[number])
            edits = with_companions(each.key, value, document, number, version.jobs[number])
            text = edited(text, edits, self._file.name)
            document = tomllib.loads(text)
        return text

    def with_changes(self, wanted: Sequence[Change]) -> tuple[Job, ...]:
        """Return the jobs that there would be with changes made, which aren't.

        Raises:
            SceneError, UsageError: they can't be made.
        """
        return self._read(self._with(self._now, wanted)).jobs

    def with_edits(self, edits: Sequence[Edit]) -> SceneVersion:
        """Return the scene with edits of the file by its own keys, which aren't made.

        Raises:
            SceneError, UsageError: they can't be made.
        """
        return self._read(edited(self._now.text, edits, self._file.name))

    def edit(self, edits: Sequence[Edit], what: str) -> None:
        """Make edits of the file by its own keys, all or none: what is measured of the room.

        Raises:
            SceneError, UsageError: they can't be made.
        """
        with self._lock:
            self._adopt(edited(self._now.text, edits, self._file.name), what, touched=(0,))

    def begin_again(self, text: str) -> None:
        """Take another text for a new room that nothing was changed in; it stays one."""
        with self._lock:
            version = self._read(text)
            self.session.lay(version.jobs[0])
            self._opened = version
            self._take(version, "", None)

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

    # Variants

    def keep(self, name: str, variant: str | None, wanted: Sequence[Change] = ()) -> None:
        """Keep what there is as a new variant under a name.

        From a variant it is a copy. From the base it has what was changed in the base since it was opened or saved, and
        the base goes back to how it was. `wanted` is put on top of either.

        Raises:
            SceneError, UsageError: a name that is taken, or changes that can't be made.
        """
        with self._lock:
            number, start = self._now.number(variant), self._now
            settings: Json = dict(start.own(number)) if number else base_changes(self._opened, start)
            if number == 0 and settings:
                start = self._read(with_base_of(self._opened, start, self._file.name))
            settings["name"] = new = self._new_name(name)
            count = len(start.jobs)
            text = edited(start.text, [Edit(f"variants[{count}]", settings)], self._file.name)
            if wanted:
                text = self._with(self._read(text), [replace(each, variant=new) for each in wanted])
            self._adopt(text, f"keep as {new}", touched=(count,))

    def rename(self, variant: str | None, to: str) -> None:
        """Give a variant another name.

        Raises:
            SceneError, UsageError: no such variant, or the name is taken.
        """
        with self._lock:
            number = self._now.number(variant)
            key = f"variants[{number}].name" if number else "base_name"
            name = self._new_name(to, self._now.jobs[number].variant)
            self._adopt(edited(self._now.text, [Edit(key, name)], self._file.name), "the name", touched=(number,))

    def delete(self, variant: str | None) -> None:
        """Take a variant out of the scene.

        Raises:
            UsageError: no such variant, or it is the base.
        """
        with self._lock:
            number = self._now.number(variant)
            if number == 0:
                raise UsageError("the scene itself can't be deleted, only its variants")
            text = edited(self._now.text, [Edit(f"variants[{number}]", None)], self._file.name)
            self._adopt(text, f"delete {self._now.jobs[number].variant}")

    def _new_name(self, name: str, but: str = "") -> str:
        found = plain(name)
        if not found or len(found) > 200:
            found, remedy = "a name of no letters" if not found else f"a name of {len(found)} letters", "give a name"
            raise SceneError(Place(self._file.name, "name"), found, f"{remedy} of up to 200")
        if same(found) in {same(job.variant) for job in self._now.jobs if job.variant != but}:
            raise SceneError(Place(self._file.name, "name"), f'a second variant "{found}"', "give it another name")
        return found

    # How a text becomes the newest

    def _read(self, text: str, what: str = "") -> SceneVersion:
        return read_version(text, self._file.path, self._materials, what)

    def _adopt(
        self,
        text: str,
        what: str,
        client: str = "",
        keys: frozenset[tuple[str, str]] | None = None,
        touched: Sequence[int] = (),
    ) -> None:
        """Take a new text for the scene, if it can be read and the variants that were touched can be laid. `keys` are
        those that a `client` changed, None for anything."""
        if text == self._now.text:
            return
        version = self._read(text, what)
        for number in dict.fromkeys(touched):
            self.session.lay(version.jobs[number])
        self._undo = [*self._undo, self._now][-MOST_UNDONE:]
        self._redo = []
        self._take(version, client, keys)

    def _take(self, version: SceneVersion, client: str, keys: frozenset[tuple[str, str]] | None) -> None:
        """Make a version the newest, write what is unsaved, and tell who listens."""
        self._now = version
        revision = self.session.change(version.jobs)
        if keys is not None:
            self._changed[revision] = client, keys
            self._changed.pop(revision - REMEMBERED, None)
        self._write_record()
        self._tell()

    def _tell(self) -> None:
        self._told += 1
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
            self._check_variants()
            read_scene(self._now.text, str(self._file.path), materials=self._materials)
            if self._file.changed() and not over:
                self._file_words = f"{self._file.name} was changed elsewhere since it was opened here."
                self._tell()
                raise Conflict(f"{self._file_words} Save over it, or take it as it is there.")
            self._file.write(self._now.text)
            self._opened, self._file_words = self._now, None
            self._write_record()
            self._tell()

    def _check_variants(self) -> None:
        base, *variants = self._now.jobs
        for number, job in enumerate(variants, 1):
            if replace(job, variant=base.variant) == base:
                raise SceneError(
                    Place(self._file.name, f"variants[{number}]"),
                    f'"{job.variant}" has come to be the same as "{base.variant}", and is no variant any more',
                    "delete it, or change something of it, and save again",
                )

    def reload(self) -> None:
        """Take the scene as the file has it now; what was here can be had back by undoing.

        Raises:
            SceneError, UsageError: it can't be read, or not be laid.
        """
        with self._lock:
            content, text = self._file.read()
            self._adopt(text, "the file, changed elsewhere", touched=(0,))
            self._file.take(content)
            self._opened, self._file_words = self._now, None
            self._write_record()
            self._tell()

    def look_at_file(self) -> None:
        """See whether the file was changed elsewhere: take it where nothing here is unsaved, else say so in the state.

        Raises:
            UsageError: it can't be read.
        """
        with self._lock:
            before, self._file_words = self._file_words, self._seen_in_file()
            if self._file_words != before:
                self._tell()

    def _seen_in_file(self) -> str | None:
        name = self._file.name
        if not self._file.changed():
            return None
        if self._file.there() is None:
            return f"{name} is gone. Save writes it again."
        if not self.saved:
            return f"{name} was changed elsewhere while there are unsaved changes here."
        try:
            self.reload()
        except (SceneError, UsageError) as error:
            return f"{name} was changed elsewhere and can't be read now: {error}"
        return None

    def offer(self, take: bool) -> None:
        """Take what a killed server left unsaved, or drop it.

        Raises:
            SceneError, UsageError: it can't be read; it stays offered.
        """
        with self._lock:
            if self._offer is None:
                return
            if take:
                self._read(self._offer)
            text, self._offer = self._offer, None
            if take:
                self._adopt(text, "what was not saved")
            self._write_record()
            self._tell()

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
