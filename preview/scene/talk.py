"""A talk of questions and answers: at a keyboard, from a pipe, or given up front."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from preview.errors import UsageError
from preview.units import MeasureError

T = TypeVar("T")

BACK = ("back", "<")
"""Answers that ask for the question before."""


class Back(Exception):
    """Somebody wants the question before."""


def talked(
    hold: Callable[[Talk], T],
    ask: Callable[[str], str],
    say: Callable[[str], None],
    given: Mapping[str, Sequence[str]],
) -> T:
    """Return what a talk comes to, begun anew for a step back: answers given before are given again, unseen."""
    heard: list[str] = []
    while True:
        talk = Talk(ask, say, given, heard)
        try:
            return hold(talk)
        except Back:
            if not talk.heard:
                say("This is the first question.")
            heard = talk.heard[:-1]


class Talk:
    """Where answers come from; `fields` are those left of a thing that was given up front in one text.

    `heard` are the lines that were taken as answers so far. Lines of `again` are answered first, and nothing is shown.
    """

    def __init__(
        self,
        ask: Callable[[str], str],
        say: Callable[[str], None],
        given: Mapping[str, Sequence[str]],
        again: Sequence[str] = (),
    ) -> None:
        self._ask, self._say, self.given = ask, say, given
        self._again = deque(again)
        self.heard: list[str] = []
        self.ended = False
        self.fields: list[str] | None = None

    def say(self, words: str) -> None:
        """Show a remark."""
        if not self._again:
            self._say(words)

    def one(self, key: str, question: str, proposal: str | None, read: Callable[[str], T]) -> T:
        """Return the answer to one question, from up front or asked until it can be read."""
        if self.fields is not None:
            return self.read_given(key, self.fields.pop(0) if self.fields else proposal, read, question)
        if key in self.given:
            return self.read_given(key, self.given[key][-1], read, question)
        return self.asked(question, proposal, read)

    def asked(self, question: str, proposal: str | None, read: Callable[[str], T]) -> T:
        """Ask until an answer can be read; an empty one is the proposal."""
        while True:
            line = self.line(f"{question} [{proposal}]: " if proposal else f"{question}: ")
            if not line and proposal is None:
                if self.ended:
                    raise UsageError(f"the answers ended before: {question.strip()}; give more lines, or options")
                self.forget()
                self.say("An answer is needed here.")
                continue
            try:
                return read(line or proposal or "")
            except MeasureError as error:
                self.complain(error)

    def line(self, prompt: str) -> str:
        """Return the next line, empty where there are no more; raises Back."""
        if self._again:
            line = self._again.popleft()
        elif self.ended:
            return ""
        else:
            try:
                line = self._ask(prompt).strip()
            except EOFError:
                self.ended = True
                return ""
            if line.casefold() in BACK:
                raise Back
        self.heard.append(line)
        return line

    def forget(self, lines: int = 1) -> None:
        """Take back the last lines: they were no answer."""
        del self.heard[-lines:]

    def complain(self, error: MeasureError, lines: int = 1) -> None:
        """Say what is wrong with an answer of so many lines and what is accepted."""
        self.forget(lines)
        self.say(str(error) if str(error).endswith("?") else f"{error}.")

    def things(self, key: str, question: str, read: Callable[[str], T]) -> tuple[T, ...]:
        """Return as many things as there are; `read` takes the first answer about one and asks for the rest."""
        found: list[T] = []
        if key in self.given:
            for text in self.given[key]:
                first, *self.fields = (field.strip() for field in text.split(";"))
                found.append(self.read_given(key, first, read, question))
                if self.fields:
                    raise UsageError(f"--{key}: {text!r} says more than is asked: {'; '.join(self.fields)}")
                self.fields = None
            return tuple(found)
        while True:
            before = len(self.heard)
            if not (first := self.line(f"{question} (leave blank to finish): ")):
                return tuple(found)
            try:
                found.append(read(first))
            except MeasureError as error:
                self.complain(error, len(self.heard) - before)

    def read_given(self, key: str, text: str | None, read: Callable[[str], T], question: str) -> T:
        """Return an answer given up front; raises UsageError where it is missing or can't be read."""
        if text is None:
            raise UsageError(f"--{key}: no answer to: {question.strip()}; write it after a semicolon")
        try:
            return read(text)
        except MeasureError as error:
            raise UsageError(f"--{key}: {error.found}; {error.remedy}") from None
