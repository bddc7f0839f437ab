"""The use cases, one module each: write pairs, check, why, new shop, schema, explain.

Takes names of families, members and files; gives what was done, as values, or raises `Findings`.
May import everything but cli. Never prints.
"""
