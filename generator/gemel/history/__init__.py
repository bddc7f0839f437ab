"""History: pairs on disk and their baselines in git, whole or not at all.

Takes texts and digests; gives stored pairs, commits, or `Findings`.
May import findings and what is below. The only layer that talks to git.
"""

from gemel.history.git import Repository, create_repository, open_repository, read_repository
from gemel.history.intake import ChannelCopy, Intake, IntakeFacts, facts_of, latest_intake, read_intake
from gemel.history.lock import hold_shop, hold_side_branches
from gemel.history.pairs import StoredPair, orphans, read_pair, recover, store_pair
from gemel.history.record import PairName, Record, digest
from gemel.history.side import SideBranch, look_aside, machines_aside

__all__ = [
    "ChannelCopy",
    "Intake",
    "IntakeFacts",
    "PairName",
    "Record",
    "Repository",
    "SideBranch",
    "StoredPair",
    "create_repository",
    "digest",
    "facts_of",
    "hold_shop",
    "hold_side_branches",
    "latest_intake",
    "look_aside",
    "machines_aside",
    "open_repository",
    "orphans",
    "read_intake",
    "read_pair",
    "read_repository",
    "recover",
    "store_pair",
]
