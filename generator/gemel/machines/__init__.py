"""Machines: how one machine is spoken to and what its limits are, from its machine file.

Takes YAML text; gives `Machine`, and the `Dialect` by which `reading` understands its programs, or raises `Findings`.
May import documents, reading, findings, numbers. Never touches a disk.
"""
