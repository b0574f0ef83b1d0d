"""The program: `preview`, and `python -m preview`."""

from preview.interrupts import end_silently, end_when_told

end_silently()


def main() -> None:
    """Run the command line in a process of its own, which ends cleanly at a signal from the very first."""
    from preview.docstrings import start_with_docstrings

    start_with_docstrings()
    end_when_told()
    from preview.streams import open_closed_streams

    open_closed_streams()
    from preview.cli import main as run

    run()


if __name__ == "__main__":
    main()
