"""What a box or a place to write means when it is typed back: notes' words, kept on record with the paper and read by the grammar of notes.

None of them is printed: what stands beside a box is a line of `words.py`. A `_` is where the value goes.
"""

from __future__ import annotations

SAYS = {
    "looked": "looked",
    "gone": "tree gone",
    "wire checked": "wire checked",
    "wire taken off": "took all wire off",
    "wire on": "wire on",
    "no wire": "no wire on it",
    "repotted": "{year} repotted",
    "not repotted": "not repotted in these years",
    "but not": "but not _",
    "count": "count _",
    "saw open": "_ saw open",
}
SCORES = ("1", "2", "3", "4", "5")
DAY = "day"
