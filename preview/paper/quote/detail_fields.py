"""How single values of a firm's own file are read: exact numbers, per cent, true or false."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal, InvalidOperation

from preview.scene.nodes import Node, Reader, shown

MOST = Decimal("1e9")
FINEST = Decimal("0.0001")
"""No number is written with more decimals than this has: a product of two is then exact."""


def exact(node: Node, what: str, remedy: str) -> Decimal:
    """Read an exact number: one without quotes, or in quotes to keep every figure; `what` is its name with its article.

    Raises:
        SceneError: it is no number, not finite, beyond a thousand million, or has more than four decimals.
    """
    value = node.value
    try:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise InvalidOperation
        number = Decimal(str(value).strip())  # a float's shortest form is what the file has
    except InvalidOperation:
        raise node.error(f"{shown(value)} instead of {what}", remedy) from None
    if not number.is_finite() or number.copy_abs() > MOST:  # abs rounds, and overflows
        raise node.error(f"{what} of {shown(value)}", "give a number between -1,000,000,000 and 1,000,000,000")
    if number != number.quantize(FINEST):
        raise node.error(f"{what} of {shown(value)}", "give no more than four decimals")
    return number if number else Decimal(0)


def per_cent(what: str, *, none: bool = False) -> Reader:
    """Return the reader of per cent, above 0 (or from 0 on, where there may be `none`) and up to 100: a number, or a
    text with its sign."""
    allowed = "from 0" if none else "above 0 and up"

    def read(node: Node) -> Decimal:
        value = node.value
        bare = replace(node, value=value.strip().removesuffix("%")) if isinstance(value, str) else node
        share = exact(bare, what, 'write per cent, such as 8.5 or "8.5 %"')
        if not 0 <= share <= 100 or (share == 0 and not none):
            raise node.error(f"{what} of {shown(value)}", f"give per cent {allowed} to 100")
        return share

    return read


def yes(node: Node) -> bool:
    """Read true or false."""
    if not isinstance(node.value, bool):
        raise node.error(f"{shown(node.value)} instead of true or false", "write true or false, without quotes")
    return node.value
