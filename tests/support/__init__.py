"""What several tests share: builders, readers from outside, random pairs."""
