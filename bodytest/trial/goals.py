"""What a test can be planned to tell, in words."""

from typing import Literal

Goal = Literal["size", "tight", "range", "same", "match"]
GOALS: dict[Goal, str] = {
    "size": "how big to make it wet",
    "tight": "whether it keeps a limit on absorption",
    "range": "from which heat on it is tight",
    "same": "whether a new delivery behaves like the last",
    "match": "whether pairs, as lid and jar, agree",
}
"""In the order in which a plan answers them."""
