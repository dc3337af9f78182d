"""Pages: views through templates to files by path; also the feed, the calendar file, tables and the workbook.

Invariant: works out no figure and decides nothing about who may see what.
"""
