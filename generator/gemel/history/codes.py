"""What can go wrong between gemel, the disk and git."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES"]


def _code(name: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    rule, code = name.split(":")
    return Explanation(rule, code, Severity.ERROR, what, why, example, remedy)


NO_GIT = _code(
    "git:no-git",
    "The program `git` cannot be started.",
    "Without git nobody can say later which copy of a program was the right one.",
    "a machine on which git is not installed",
    "install git, or write without it: `gemel write --no-commit`",
)
NO_REPOSITORY = _code(
    "git:no-repository",
    "The shop is in no git repository.",
    "Every pair that gemel writes is committed, so that a copy from the control can be compared with what was sent.",
    "a shop copied without its `.git` folder",
    "run `git init` in the shop's folder; without git there is only what reads, and `gemel write --no-commit`",
)
FOREIGN = _code(
    "git:foreign-repository",
    "The shop's folder is not the top of the git repository it lies in.",
    "gemel would commit programs into a repository that belongs to something else.",
    "a shop unpacked inside the checkout of another project",
    "give the shop a repository of its own (`git init` in its folder), or write with `--no-commit`",
)
BARE = _code(
    "git:bare",
    "The repository has no working tree.",
    "gemel writes programs as files beside the families.",
    "a shop folder that is a server's repository",
    "clone it, and work in the clone",
)
IDENTITY = _code(
    "git:no-identity",
    "git does not know who commits.",
    "A baseline without an author answers no question a year later.",
    "user.email is not set",
    'git config user.name "Your Name" and git config user.email you@example.com',
)
DETACHED = _code(
    "git:detached",
    "No branch is checked out (a detached head).",
    "A commit made there is lost as soon as a branch is checked out.",
    "git checkout v1.2",
    "check out a branch: `git switch <branch>`, or make one here: `git switch -c <name>`",
)
UNFINISHED = _code(
    "git:unfinished",
    "A merge, rebase, cherry-pick or revert is under way.",
    "A commit between its halves would tear it apart.",
    "a merge that stopped at a conflict",
    "finish it or give it up (`git status` says how), then run gemel again",
)
RACED = _code(
    "git:raced",
    "The branch kept moving while gemel wanted to add its commit.",
    "gemel never overwrites a commit of somebody else.",
    "another program that commits every moment",
    "run gemel again; the pair is on disk and will be committed then",
)
REFUSED = _code(
    "git:refused",
    "git refused a command that gemel needs.",
    "What git says is printed with it.",
    "a damaged repository, or one that belongs to another user",
    "mend what git names; what was on disk before is untouched",
)
LOCKED = _code(
    "lock:held",
    "Another gemel is at work in this shop.",
    "Two writers at once could mix two revisions.",
    "`gemel write` in two windows",
    "wait until it is done; a lock whose holder has died does not count",
)
HAND_EDITED = _code(
    "pair:hand-edited",
    "A program in `output/` was changed since gemel wrote it.",
    "gemel never overwrites what a person changed.",
    "a feed touched up in output/ with an editor",
    "move the change into the family, or copy the file elsewhere and restore it: `git checkout -- FILE`",
)
FOREIGN_FILE = _code(
    "pair:foreign-file",
    "A pair's folder holds a file that gemel did not write.",
    "The folder is exchanged as a whole: the file would be lost.",
    "notes.txt beside the programs",
    "move the file elsewhere",
)
NO_RECORD = _code(
    "pair:no-record",
    "A pair's folder has no readable `record.json`.",
    "Without it gemel cannot tell its own text from a person's.",
    "a folder copied by hand",
    "restore the folder (`git checkout -- FOLDER`), or move it elsewhere",
)
ORPHAN = Explanation(
    "pair",
    "orphan",
    Severity.WARNING,
    "A pair in `output/` belongs to no member of its family any more.",
    "Nobody keeps it up to date, and it looks like one that somebody does.",
    "a member that was renamed or taken out of the family",
    "take the folder away when it is no longer needed: `git rm -r FOLDER`; git keeps what it held",
)
NAME = _code(
    "pair:name",
    "A name that cannot be part of a file name, or that would leave `output/`.",
    "A program must not be written over something else.",
    'members: {"../x": {...}}',
    "use letters, digits, `.`, `-`, `_`; begin with a letter or digit",
)
LINK = _code(
    "pair:link",
    "A folder under `output/` is a link to somewhere else.",
    "git does not follow links, and a pair cannot be exchanged whole across them.",
    "output -> a network drive",
    "make it a folder of the shop; `send` copies to other places",
)

CHECKED_OUT = _code(
    "side:checked-out",
    "The branch of a control is checked out in a working tree.",
    "gemel adds copies to it beside the working tree; files there would then look changed without anybody's doing.",
    "git switch at-control/twin-turnmill",
    "check out another branch (`git switch main`), then take the copy in again; it is still where it came from",
)
REMOVED = Explanation(
    "side",
    "removed",
    Severity.WARNING,
    "The branch that holds the copies of a control was removed.",
    "Nothing that came from a control may be lost; gemel keeps a ref of its own (`refs/gemel/`) beside the branch.",
    "git branch -D at-control/twin-turnmill",
    "nothing to do: the next intake brings the branch back, as does `gemel intake --machine NAME` without files",
)
SET_BACK = Explanation(
    "side",
    "set-back",
    Severity.WARNING,
    "The branch that holds the copies of a control was set to a commit that does not hold all of them.",
    "Nothing that came from a control may be lost; gemel keeps a ref of its own (`refs/gemel/`) beside the branch.",
    "git branch -f at-control/twin-turnmill at-control/twin-turnmill~3",
    "nothing to do: the next intake builds on what was kept, as does `gemel intake --machine NAME` without files",
)
UNREADABLE = _code(
    "side:unreadable",
    "git cannot read an object of its own store.",
    "A copy that cannot be read back cannot be compared, and a disk that loses one object may lose more.",
    "a bad sector, or a file under .git/objects/ that somebody changed",
    "run `git fsck`; fetch the object from another clone or a backup (`git fetch` from it), then run gemel again",
)
NO_BASELINE = _code(
    "side:no-baseline",
    "The baseline that a copy names is not in this shop: not in `output/`, on no branch, not beside an earlier copy.",
    "Compared with another writing, everything that the two writings differ in would look like a hand edit.",
    "the branch was removed or never fetched, or the pair was written elsewhere",
    "fetch the branch that holds it and take the copy in again; or say what it is, `--as MEMBER:CHANNEL`, and it is"
    " compared with the nearest writing that is there",
)

CODES = (
    NO_GIT,
    NO_REPOSITORY,
    FOREIGN,
    BARE,
    IDENTITY,
    DETACHED,
    UNFINISHED,
    RACED,
    REFUSED,
    LOCKED,
    HAND_EDITED,
    FOREIGN_FILE,
    NO_RECORD,
    ORPHAN,
    NAME,
    LINK,
    CHECKED_OUT,
    REMOVED,
    SET_BACK,
    UNREADABLE,
    NO_BASELINE,
)
