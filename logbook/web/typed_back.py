"""What a touch says when it is typed back: notes' words, read by the grammar of notes, so the same in every language.

None of them is a word of a page: what stands on a button is a line of `words.py`.
"""

from __future__ import annotations

from ..paper import typed_back

LOOKED = typed_back.SAYS["looked"]
SCORES = typed_back.SCORES
VIGOUR = "vigour"  # before a score
DONE = "done: "  # before words of a grower's own
