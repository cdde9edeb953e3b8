"""What the stand-alone bundle runs: a double-click opens the pages, words after its name are a command as ever."""

import sys
from pathlib import Path

from bodytest.cli.app import main
from start import own_folder

if __name__ == "__main__":
    if len(sys.argv) == 1:
        sys.argv += ["open", str(own_folder(Path(__file__).parent / "sheets" / "demo-complete.xlsx"))]
    main()
