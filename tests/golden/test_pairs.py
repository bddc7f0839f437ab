"""Written programs as bytes: some members whole, all others by digest.

A change here is a change at the machine: look at the difference like at code, then run
`pytest tests/golden --snapshot-update`.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

import pytest
from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode

from support.demo import demo, names

if TYPE_CHECKING:
    from syrupy.assertion import SnapshotAssertion
    from syrupy.types import SerializableData

WHOLE = [
    ("twin-turnmill", "port-block", "35"),
    ("twin-turnmill", "valve-stem", "60"),
    ("twin-turnmill", "hex-coupling", "30"),
    ("twin-turnmill", "sensor-collar", "20"),
    ("inch-duplex", "port-block", "20"),
]


class _Bytes(SingleFileSnapshotExtension):
    """Bytes on disk, whatever their line ends; lines in the difference that a failure shows."""

    _write_mode = WriteMode.BINARY
    file_extension = "nc"

    def diff_lines(self, serialized_data: SerializableData, snapshot_data: SerializableData) -> Any:
        """The difference of the decoded texts, line ends shown."""
        yield from super().diff_lines(_shown(serialized_data), _shown(snapshot_data))


def _shown(data: SerializableData) -> str:
    text = data.decode("ascii", "backslashreplace") if isinstance(data, bytes) else str(data)
    return text.replace("\r\n", "<CR>\n")


@pytest.fixture
def golden(snapshot: SnapshotAssertion) -> SnapshotAssertion:
    """Snapshots of bytes, a file each."""
    return snapshot.use_extension(_Bytes)


@pytest.mark.parametrize("name", WHOLE, ids=["-".join(name) for name in WHOLE])
def test_a_pair_is_written_as_before(name: tuple[str, str, str], golden: SnapshotAssertion) -> None:
    """Every byte of both programs, the stamp included."""
    for channel, text in demo(*name).texts.items():
        assert text.encode("ascii") == golden(name=channel)


def test_all_other_pairs_have_the_digests_they_had(golden: SnapshotAssertion) -> None:
    """One line a program: SHA-256, machine, family, member, channel."""
    rows = []
    for name in names():
        if name not in WHOLE:
            for channel, text in sorted(demo(*name).texts.items()):
                rows.append(f"{hashlib.sha256(text.encode('ascii')).hexdigest()}  {' '.join(name)} {channel}\n")
    assert "".join(rows).encode() == golden(name="digests")
