"""Reports: pages and pictures that go to the machine: setup sheet, time chart, shop tool plan.

Takes resolved parts, plans, verdicts and timelines; gives text of pages (HTML, SVG inside) and PDF bytes.
May import everything below `shop` but `history`'s files: a report touches no disk and asks nobody for the time.
"""
