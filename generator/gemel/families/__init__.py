"""Families: a part described once, its members, and what tools, materials, fits and threads say about them.

Takes YAML text and a `Machine`; gives `Family`, and for a member `Part` and `Job`s, or raises `Findings`.
May import machines, reading, documents, findings, numbers. Never touches a disk, never writes a code word.
"""
