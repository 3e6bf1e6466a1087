"""The whole event in one file, and such a file opened elsewhere by the same version.

A zip of `manifest.json`, a file of JSON lines for each table (`rows/setup.Event.jsonl`), the log (`log.jsonl`), and the
binary contents of fields (`files/<sha-256>`). The manifest names format, version, the shape of the tables, and the
SHA-256 and the number of rows of every other file. Values stand as Django's fields write them: moments in ISO 8601 with
their offset, decimals as text, missing as null. Nothing in it is run when it is read.
"""
