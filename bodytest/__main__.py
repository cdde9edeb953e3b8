"""``python -m bodytest`` is the command ``bodytest``."""

from bodytest.cli.app import main

main()
