"""What papers say of a layout beyond its pieces: facts of its pattern, and what the boards come to at the edges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Row = tuple[str, str]
EdgeKind = Literal["wall", "obstacle", "grille"]
Meets = Literal["ends", "sides", "angled"]
Facing = Literal["left", "right", "near", "far", "angled"]


@dataclass(frozen=True)
class Facts:
    """What papers say of a pattern, in words and numbers, so that none needs to know it.

    `name` as a scene has it, `variety` what sets one apart from others of that name in a word or two.
    `hands` name the kinds of board that are no substitute for one another, as "lean left".
    `stop_block` says what is cut to the board's length; where ends are not square, `saw` how the saw stands and
    `points` how long a board is from point to point. `first_board` names the first; `first_boards` say in rows how
    boards are laid, from the first on. `uncut` says how a piece lies at the saw. `grooves` say how boards with tongue
    and groove differ, `sides` in which two of its sides a whole board has its splines, the second `end` metres long.
    Where ends are mitred, boards are sawn from a stick one after another, ends parallel: `slant` metres of it are lost
    once, to the first mitre. `shortest_start` metres is the shortest piece with which a row may begin, 0 where there
    are no such rows.
    `look` says what one sees of it in few words, `lie` how boards lie to the centre line, and `tongued` that they then
    come in kinds, where they do.
    Corners lie `corner_step` metres apart along the chalk line, `boards_a_step` boards further on, of which ten reach
    as far as `ten` says; of what boards measure too much in width the field grows by `along` for each metre of that and
    of its run, and by `wide` for each metre of that and each course across it; of what they measure too much in length
    by `across` for each metre of that and each course.
    """

    name: str = ""
    variety: str = ""
    hands: tuple[str, ...] = ()
    stop_block: str = ""
    saw: str = ""
    points: str = ""
    first_board: str = ""
    first_boards: tuple[Row, ...] = ()
    uncut: str = ""
    grooves: str = ""
    sides: str = ""
    look: str = ""
    lie: str = ""
    tongued: str = ""
    ten: str = "of one course {} along the chalk line, corner to corner"
    corner_step: float = 0.0
    boards_a_step: int = 1
    along: float = 0.0
    wide: float = 0.0
    across: float = 0.0
    end: float = 0.0
    slant: float = 0.0
    shortest_start: float = 0.0


@dataclass(frozen=True)
class EndsAlong:
    """What meets one wall, or what one obstacle stops, all its stretches of a kind taken together; `wall` is 0 at an
    obstacle. `text` says it in words that go for any wall alike, `short` in a word or two, and `corners` adds smaller
    pieces in its corners; `least` is its smallest piece along the board, those in corners left out, metres."""

    kind: EdgeKind
    name: str
    wall: int
    meets: Meets
    facing: Facing
    length: float
    text: str
    short: str
    corners: str
    least: float = 0.0

    @property
    def label(self) -> str:
        """The name as a row begins with it."""
        bare = self.name.removeprefix("the ")
        return bare[:1].upper() + bare[1:]


@dataclass(frozen=True)
class AllEnds:
    """Every wall, then every obstacle, with what the boards come to there (`each`); `round` says it of all obstacles
    together, nothing where there are none. Grilles only cut a few boards: nothing is said of them."""

    each: tuple[EndsAlong, ...] = ()
    round: str = ""
