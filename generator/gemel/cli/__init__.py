"""The command line: one small module a command. Prints, and nothing else prints; no logic."""
