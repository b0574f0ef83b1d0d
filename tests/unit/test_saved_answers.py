"""Answers to `preview new` outlive Ctrl-C: the next call goes on from them, and they go when the scene is there."""

import pytest

from preview.commands.new import new_scene
from preview.errors import UsageError

ANSWERS = [
    "Study",
    "in",
    "E 15' 6\"",
    "N 12' 4\"",
    "W 15' 6\"",
    "S 12' 5\"",
    "back",
    "S 12' 4\"",
    "",
    "19' 10\"",
    "end",
    "8'",
    "1",
    "",
    "",
    "",
    "4",
    "",
    "",
    "",
    "grey",
    "<",
    "gray",
    "",
    "",
    "",
    "0",
    "sage green",
    "",
    "",
    "",
]


class Person:
    """Types `answers`, then presses Ctrl-C, or Ctrl-D where `end` is EOFError."""

    def __init__(self, answers, end=KeyboardInterrupt):
        self.answers, self.end, self.asked, self.told = list(answers), end, [], []

    def ask(self, prompt):
        self.asked.append(prompt)
        if not self.answers:
            raise self.end
        return self.answers.pop(0)

    def new(self, file, keep=True):
        return new_scene(file, self.ask, self.told.append, {}, keep=keep)


@pytest.fixture
def file(tmp_path):
    return tmp_path / "study.toml"


def names(file):
    return sorted(each.name for each in file.parent.iterdir())


@pytest.mark.parametrize("count", range(1, len(ANSWERS)))
def test_it_goes_on_where_it_was_broken_off(file, count):
    first, second = Person(ANSWERS[:count]), Person(ANSWERS[count:])
    with pytest.raises(KeyboardInterrupt):
        first.new(file)
    assert names(file) == ["study.toml.answers"]
    assert "run the same command to continue" in first.told[-1]
    second.new(file)
    assert names(file) == ["study.toml"]
    assert second.told[0].startswith("Continuing with the answers saved in")
    assert second.asked[0] == first.asked[-1]  # the question at which it was broken off
    whole = Person(ANSWERS)
    other = file.with_name("other.toml")
    whole.new(other)
    assert other.read_bytes() == file.read_bytes()


def test_a_second_break_keeps_what_came_since_and_nothing_new_keeps_what_was(file):
    for answers in (ANSWERS[:3], ANSWERS[3:6], []):
        with pytest.raises(KeyboardInterrupt):
            Person(answers).new(file)
    kept = file.with_name("study.toml.answers").read_text(encoding="utf-8")
    assert kept.splitlines() == ANSWERS[:6]


def test_answers_that_end_early_are_kept_too(file):
    with pytest.raises(UsageError):
        Person(ANSWERS[:3], EOFError).new(file)
    assert names(file) == ["study.toml.answers"]


def test_nothing_is_kept_of_nothing_nor_of_a_pipe(file):
    for answers, keep in (([], True), (ANSWERS[:4], False)):
        with pytest.raises(KeyboardInterrupt):
            Person(answers).new(file, keep)
    assert names(file) == []
