"""Ctrl-C, and being told to stop: a command ends at once and leaves nothing unfinished, whatever it is doing.

Python's own way, an exception in the main thread, is not enough: while libraries are loaded, some of their code
swallows it, and code that is not Python's is not interrupted at all. So a thread waits for the signal, takes back what
is unfinished and ends the process.
"""

from __future__ import annotations

import atexit
import os
import signal
from contextlib import suppress
from types import FrameType

STOPPING = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]


def end_silently() -> None:
    """Let signals end the process at once, while there is nothing to take back yet. What is ignored, as after nohup,
    stays so."""
    for number in STOPPING:
        if signal.getsignal(number) is signal.default_int_handler:
            signal.signal(number, signal.SIG_DFL)


def end_when_told() -> None:
    """Have a thread of its own end the process at a signal, with exit status 128 and the signal's number.

    On Windows, where signals wake no pipe, Ctrl-C stays an exception.
    """
    if os.name == "nt":
        signal.signal(signal.SIGINT, signal.default_int_handler)
        return
    import threading

    reading, writing = os.pipe()
    os.set_blocking(writing, False)
    threading.Thread(target=_wait, args=(reading,), name="interrupts", daemon=True).start()
    atexit.register(_ignore)
    signal.set_wakeup_fd(writing, warn_on_full_buffer=False)
    for number in STOPPING:
        if signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, _nothing)


def raise_when_told() -> None:
    """Make Ctrl-C and the other signals exceptions, for a command that does something about them itself."""
    if signal.set_wakeup_fd(-1) != -1:
        for number in STOPPING:
            if signal.getsignal(number) is _nothing:
                usual = signal.default_int_handler if number == signal.SIGINT else _exit
                signal.signal(number, usual)


def _exit(number: int, frame: FrameType | None) -> None:
    raise SystemExit(128 + number)


def _nothing(number: int, frame: FrameType | None) -> None:
    """Take no notice: the thread does."""


def _ignore() -> None:
    """Let signals change nothing from now on: all is done. While Python takes itself apart, up to a second after
    pictures, it would give them back to the system, which ends the process without a word and as if it had failed."""
    for number in STOPPING:
        signal.signal(number, signal.SIG_IGN)


def _wait(reading: int) -> None:
    told = os.read(reading, 1)[0]
    while told not in STOPPING:
        told = os.read(reading, 1)[0]
    from preview.unfinished import take_back

    take_back()
    with suppress(OSError):
        if os.isatty(2):  # the bar of progress hides the cursor
            os.write(2, b"\r\x1b[K\x1b[?25h")
        os.write(2, b"preview: stopped\n")
    os._exit(128 + told)
