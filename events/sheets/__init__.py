"""Spreadsheets as directors really have them: read, guess, convert, name every problem, write safely.

Pure: standard library, openpyxl and defusedxml only; no Django, no clock, no database.
Order of use: `reading.read_table` -> `matching.guess` -> a reader such as `entrants.read_entrants`.
"""
