"""Cutting: what every cut of a pair asks of the drive that does it.

Takes the steps of all channels, what is known of material and tools as plain data (`CuttingFacts`), and a `Machine`;
gives the cuts with depth, force, torque and power. May import machines, reading, findings and numbers; never families:
depths are measured on the workpiece that the texts have left so far.
"""
