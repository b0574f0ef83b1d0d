"""`python -m preview` is the command `preview`."""

from preview.cli import main

main()
