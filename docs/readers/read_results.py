"""Read results.json: for each body the wet size for a finished 200 mm, and what one piece will finish at."""

import json
import sys

with open(sys.argv[1], encoding="utf-8") as file:
    document = json.load(file)
programmes = {one["id"]: one for one in document["programmes"]}
for answer in document["answers"]:
    if answer["known"]:
        one = programmes[answer["programme"]]
        wet_mm, total = 200 * one["wet_size_factor"], one["quantities"]["total_shrinkage"]
        low_mm, high_mm = (wet_mm * (1 - total[end] / 100) for end in ("next_high", "next_low"))
        print(one["body"], one["called"], wet_mm, low_mm, high_mm, sep=";")
