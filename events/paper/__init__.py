"""The paper kit: faces, wrapping, QR codes, pages and flowing lists, drawn with reportlab.

No Django, no clock, no database: callers hand in plain dataclasses and get PDF bytes back.
"""
