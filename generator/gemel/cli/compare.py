"""`gemel compare`."""
