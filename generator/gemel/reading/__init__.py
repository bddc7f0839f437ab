"""Reading: program text to blocks and back to the same bytes, and what one channel does with them.

Takes the bytes of a program and, to interpret them, the `Dialect` of its channel; gives a `Program` (blocks, whose
words are read when first asked for), and a `Run` (every executed block with what it does). `write(read(data)) == data`
for any bytes. May import findings only. Never fails on a text, whatever it holds: what is not understood is a word of
its own with a span, and a remark; never touches a disk, never knows a code of any machine, never asks who wrote the
text.
"""

from gemel.reading.blocks import Block, Program, read, write
from gemel.reading.channel import ChannelText
from gemel.reading.dialect import Dialect, Function
from gemel.reading.interpret import interpret
from gemel.reading.parts import Comment, Parts, Word
from gemel.reading.run import Motion, Position, Remark, Run, Step
from gemel.reading.state import State

__all__ = [
    "Block",
    "ChannelText",
    "Comment",
    "Dialect",
    "Function",
    "Motion",
    "Parts",
    "Position",
    "Program",
    "Remark",
    "Run",
    "State",
    "Step",
    "Word",
    "interpret",
    "read",
    "write",
]
