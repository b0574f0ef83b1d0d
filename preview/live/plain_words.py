"""What is said of a scene file in the words of the page, which has labels where the file has keys."""

from __future__ import annotations

import re
from typing import Any

from preview.floor.remedies import Remedy
from preview.live.controls import LABELS, NAMED
from preview.paper.words.numbers import and_list

Json = dict[str, Any]

CALLED = {key: label for group in LABELS.values() for key, label in group.items()}
"""What each key that is a control is called, all groups in one."""

KEY = re.compile(rf"\b(?:{'|'.join(re.escape(key) for key in sorted(CALLED, key=len, reverse=True) if '.' in key)})\b")


def plain_words(text: str) -> str:
    """Return a text with the labels of the page for the keys of the file."""
    return KEY.sub(lambda found: f"“{CALLED[found[0]]}”", text)


def remedy_told(remedy: Remedy) -> list[Json]:
    """Return the advice of a remedy in words of the page, each with the changes that follow it."""
    told = []
    for advice in remedy.advice:
        ends, tried, _ = advice.partition(", try ")
        said = [f"{CALLED[key]} “{NAMED.get(key, {}).get(value, value)}”" for key, value in remedy.settings]
        edits = [{"key": key, "value": value} for key, value in remedy.settings]
        told.append({"words": f"{ends}{tried}{and_list(said)}" if said else plain_words(advice), "edits": edits})
    return told
