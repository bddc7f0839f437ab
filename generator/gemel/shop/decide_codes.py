"""What can stand against a decision about an edit."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES"]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("decide", code, Severity.ERROR, what, why, example, remedy)


NO_COPY = _code(
    "no-copy",
    "No copy of that pair ever came back from that machine's control.",
    "There is nothing to decide about.",
    "gemel decide port-block/35 --all --drop",
    "take the programs in first: `gemel intake FILES --machine NAME`",
)
NO_EDIT = _code(
    "no-edit",
    "The pair has no edit of that id, or more than one whose id begins so.",
    "A decision about an edit that nobody can show would be worth nothing later.",
    "gemel decide port-block/35 0badf00d --keep",
    "list them with `gemel edits`, and give as many digits as it takes",
)
NOBODY = _code(
    "nobody",
    "A decision needs a name and a reason.",
    "In a year somebody will ask why the feed is 0.15 on one member only.",
    'gemel decide port-block/35 3fa9c211 --keep --by ""',
    'say who and why: `--by "A. Setter" --why "chatter on the long member"`',
)
NO_VALUE = _code(
    "no-value",
    "No value of the family explains this edit: none gives the edited blocks and nothing else.",
    "To change a value that only nearly explains an edit would change other programs unseen.",
    "a wait that was typed in; one of twelve equal feeds",
    "keep it (`--keep`), or change the family by hand and drop the edit",
)
NO_SUCH_VALUE = _code(
    "no-candidate",
    "There are fewer values that explain this edit than the number given.",
    "Each candidate changes other programs; which one is meant must be clear.",
    "--candidate 3",
    "look at the candidates with `gemel edits`",
)

CODES = (NO_COPY, NO_EDIT, NOBODY, NO_VALUE, NO_SUCH_VALUE)
"""All codes of this module."""
