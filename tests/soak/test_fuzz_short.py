"""The fuzzer itself, a few files of each kind: what the long run does with thousands."""

import pytest

from tests.soak import fuzz
from tests.soak.trial import Outcome, trial

FILES = 40  # some seconds


def test_spoilt_files_are_read_or_refused_in_words(tmp_path, capsys):
    assert fuzz.main(["--files", str(FILES), "--seed", "7", "--out", str(tmp_path / "found")]) == 0
    said = capsys.readouterr().out
    assert f"{FILES} files from 0, seed 7" in said
    assert "0 faults" in said
    assert not (tmp_path / "found").exists()


def test_a_seed_gives_the_same_files_again():
    assert [fuzz.spoilt(3, number) for number in range(20)] == [fuzz.spoilt(3, number) for number in range(20)]
    assert fuzz.spoilt(3, 1) != fuzz.spoilt(4, 1)
    assert {fuzz.spoilt(3, number)[0] for number in range(60)} == {"scene", "details", "material", "logo", "entry"}


def test_a_file_that_breaks_the_program_is_found_and_made_short(tmp_path, monkeypatch, capsys):
    """A program that fails on every file with a certain word."""

    def broken(kind, content):
        return Outcome(0.0, True, "ZeroDivisionError in some.py, work" if b"units" in content else "")

    monkeypatch.setattr(fuzz, "trial", broken)
    assert fuzz.main(["--files", "20", "--out", str(tmp_path)]) == 1
    (found,) = tmp_path.glob("*.toml")
    assert found.read_bytes().count(b"\n") == 0
    assert b"units" in found.read_bytes()
    assert "ZeroDivisionError" in capsys.readouterr().out
    assert found.with_suffix(".txt").read_text().startswith("ZeroDivisionError in some.py")


@pytest.mark.parametrize(
    ("kind", "content", "fault"),
    [
        ("scene", b"units = 1", ""),
        ("details", b"[firm]", ""),
        ("material", b"a = 1", ""),
        ("logo", b"<svg", ""),
        ("entry", b"preview arrays 1", ""),
        ("scene", None, "TypeError in document.py, plain_text"),
    ],
)
def test_what_a_trial_tells(kind, content, fault):
    outcome = trial(kind, content)
    assert (outcome.fault, outcome.accepted) == (fault, False)
