"""Whether what is on a page has room: nothing cut off, nothing over something else, nothing to be scrolled to aside."""

from pathlib import Path

TIGHT = Path(__file__).with_name("tight.js").read_text()
LARGER = "(share) => { document.documentElement.style.fontSize = share; }"


def tight(looker, targets=False):
    """Return what of a page has no room, in words; with `targets`, also what is too small to press: under 24 pixels
    (WCAG 2.2, 2.5.8)."""
    return looker.page.evaluate(TIGHT, targets)


def larger(looker, share):
    """Set a page's letters larger, such as to "200%"."""
    looker.page.evaluate(LARGER, share)
