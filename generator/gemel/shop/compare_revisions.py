"""What two revisions of the shop differ in, pair by pair: named changes, cycle time, pairs that came or went."""
