"""Operations: what one tool does, as machine-neutral steps; one module per process.

Takes a `Job` (one operation of one member, every value known); gives a list of `Step`.
May import families, machines, reading and below. Never knows a code word of a machine.
"""

from gemel.operations.registry import PROCESSES, toolpath

__all__ = ["PROCESSES", "toolpath"]
