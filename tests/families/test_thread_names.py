"""How a thread's name may be spelled, and what happens to a name that is none."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.families.threads import UnknownThread, known_threads, thread
from gemel.findings import nearest


@pytest.mark.parametrize(
    ("spelling", "name"),
    [
        ("m5", "M5"),
        (" M5 ", "M5"),
        ("M5x0.8", "M5"),
        ("M5x.8", "M5"),
        ("M5 X 0.80", "M5"),
        ("M5\N{MULTIPLICATION SIGN}0.8", "M5"),
        ("M8x1.0", "M8x1"),
        ("m8 x 1", "M8x1"),
        ("M10x1.50", "M10"),
        ("g 1/8", "G1/8"),
        ("G1 1/4", "G1 1/4"),
        ("g11/4", "G1 1/4"),
        ("1/4-20 unc", "1/4-20 UNC"),
        ("1/4-20UNC", "1/4-20 UNC"),
        ("1/4-20", "1/4-20 UNC"),
        ("1/4 - 28", "1/4-28 UNF"),
        ("#10-32", "#10-32 UNF"),
        ("10-32 UNF", "#10-32 UNF"),
        ("10-24", "#10-24 UNC"),
        ("#6-32", "#6-32 UNC"),
        ("1-8", "1-8 UNC"),
    ],
)
def test_spelling_does_not_matter(spelling: str, name: str) -> None:
    """Case, spaces, the multiplication sign, trailing zeros, a coarse pitch, `UNC`, `#` may be there or not."""
    assert thread(spelling).name == name


@given(st.sampled_from(known_threads()), st.data())
def test_case_and_spaces_never_matter(name: str, data: st.DataObject) -> None:
    """Any mixture of cases with spaces anywhere names the same thread."""
    spelled = "".join(
        data.draw(st.sampled_from((letter.lower(), letter.upper()))) + data.draw(st.sampled_from(("", " ")))
        for letter in name
    )
    assert thread(spelled).name == name


@pytest.mark.parametrize(
    ("name", "close"),
    [
        ("M5x0.9", "M5x0.8"),
        ("M8x1,25", "M8x1.25"),
        ("1/4-21", None),
        ("G1/9", None),
        ("", None),
        ("M", None),
        ("M5x", None),
    ],
)
def test_an_unknown_thread_is_refused_with_names(name: str, close: str | None) -> None:
    """No thread is made up from its numbers; the nearest name can be offered."""
    with pytest.raises(UnknownThread) as caught:
        thread(name)
    assert caught.value.name == name
    if close is not None:
        assert nearest(name, caught.value.known) == close


def test_1_4_20_unf_is_no_thread() -> None:
    """A wrong series is not taken for the right one."""
    with pytest.raises(UnknownThread):
        thread("1/4-20 UNF")


@given(st.text(alphabet="mMgGxX#/-.,0123456789 UNCFunf\N{ARABIC-INDIC DIGIT FIVE}", max_size=12))
def test_any_text_gives_a_known_thread_or_the_one_fault(text: str) -> None:
    """Whatever is typed, the answer is a thread of the tables or `UnknownThread`, nothing else."""
    with suppress(UnknownThread):
        found = thread(text)
        assert found.name in known_threads()
