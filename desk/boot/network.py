"""The port that the desk listens on, and the addresses under which others on the network reach it."""

import errno
import os
import socket
import threading

from desk.boot.errors import StartError

_BACKLOG = 128
_LOOKUP_SECONDS = 1.0  # a resolver without a network may take ten; the director waits for the page


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that already listens on `host`:`port` (port 0: any free one).

    Listening at once, before the database is touched, means that nobody can take the port in between.
    Raises `StartError` naming the cause.
    """
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":  # elsewhere this option lets two programs share a port
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((host, port))
        listener.listen(_BACKLOG)
    except OSError as error:
        listener.close()
        raise StartError(refusal(host, port, error)) from error
    return listener


def refusal(host: str, port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        return (
            f"Port {port} is busy, perhaps with another Starthorn: stop that, or choose another with --port."
        )
    if error.errno == errno.EACCES:
        return f"Port {port} is reserved for the system: choose one above 1023 with --port."
    return f"This machine cannot listen on {host}:{port} ({error.strerror})."


def lan_addresses() -> list[str]:
    """Return this machine's IPv4 addresses on the local network, the one of the default route first.

    Nothing is sent. Empty when there is no network.
    """
    routed = _address_of_route()
    return [routed] if routed else _addresses_of_name()


def _address_of_route() -> str | None:
    """Ask the routing table which own address would speak to the outside; connecting UDP sends no packet."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # set aside for documentation by RFC 5737, so it is nobody's
        except OSError:
            return None
        address: str = probe.getsockname()[0]
    return next(iter(unless_loopback([address])), None)


def _addresses_of_name() -> list[str]:
    """Look this machine's own name up, giving up after a second."""
    found: list[str] = []

    def look() -> None:
        try:
            found.extend(socket.gethostbyname_ex(socket.gethostname())[2])
        except OSError:
            return

    thread = threading.Thread(target=look, daemon=True)
    thread.start()
    thread.join(_LOOKUP_SECONDS)
    return sorted(set(unless_loopback(list(found))))


def unless_loopback(addresses: list[str]) -> list[str]:
    """Return those addresses that lead to this machine from another one."""
    return [address for address in addresses if not address.startswith(("127.", "0."))]
