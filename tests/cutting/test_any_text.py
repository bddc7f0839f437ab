"""Whatever stands in the texts, following the cuts ends, and gives figures or says why it cannot."""

from __future__ import annotations

import re
from math import isfinite
from random import Random

import pytest

from gemel.cutting.follow import follow
from gemel.families.cutting_facts import cutting_facts
from gemel.families.resolve import resolve
from support.demo import demo
from support.demo_family import demo_family
from support.proofs import demo_machine, models_of

_NUMBER = re.compile(r"(?<=[XZYCSFUWQR])-?[0-9.]+")
_ODD = ("0", "-0.", "0.", "-5.", "1.", "99999.", "0.0001", "-1.6", "120.")


def _spoiled(text: str, random: Random) -> str:
    """A program as it may come back from people: lines gone, doubled, out of place, numbers changed."""
    lines = text.splitlines()
    for _ in range(random.randint(1, 12)):
        at = random.randrange(len(lines))
        match random.randrange(4):
            case 0:
                del lines[at]
            case 1:
                lines.insert(random.randrange(len(lines)), lines[at])
            case 2:
                lines[at] = _NUMBER.sub(lambda _: random.choice(_ODD), lines[at], count=1)
            case _:
                lines[at] = re.sub(r"\b[GM][0-9]+ ?", "", lines[at], count=1)
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(60))
def test_spoiled_programs_are_followed_to_their_end(seed: int) -> None:
    """No text makes it fail; every figure is a number, and no cut takes more than a whole bar."""
    random = Random(seed)  # noqa: S311 # a seed makes the case
    family, member = random.choice([("port-block", "20"), ("valve-stem", "75"), ("sensor-collar", "16")])
    texts = {name: _spoiled(text, random) for name, text in demo("twin-turnmill", family, member).texts.items()}
    loaded = demo_family(family)
    facts = cutting_facts(loaded, resolve(loaded, member))
    found = follow({m.name: m.steps for m in models_of(demo_machine(), texts)}, facts, demo_machine())
    for cut in found.cuts:
        assert all(isfinite(value) and value >= 0.0 for value in cut.load), cut
        assert isfinite(cut.share)
        assert cut.depth_mm >= 0.0
    assert all(gap.why and gap.line > 0 for gap in found.gaps)
