"""What runs before any package is installed: the virtual environment, the data folder, the port, the gate.

Every module in here uses the standard library only, because on a fresh machine there is nothing else.
"""
