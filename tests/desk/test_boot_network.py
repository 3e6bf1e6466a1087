import os
import socket
from contextlib import closing

import pytest

from desk.boot import network
from desk.boot.errors import StartError


def test_the_port_is_taken_at_once_and_a_second_start_is_told():
    with network.listen("127.0.0.1", 0) as first:
        port = first.getsockname()[1]

        with pytest.raises(StartError) as refused:
            network.listen("127.0.0.1", port)

    assert str(refused.value) == (
        f"Port {port} is busy, perhaps with another Starthorn: stop that, or choose another with --port."
    )


def test_a_port_that_another_program_serves_on_one_address_is_busy_for_all():
    with closing(socket.create_server(("127.0.0.1", 0))) as other:
        port = other.getsockname()[1]

        with pytest.raises(StartError, match=f"^Port {port} is busy"):
            network.listen("0.0.0.0", port)


def test_a_port_is_free_again_right_after_its_server_has_ended():
    first = network.listen("127.0.0.1", 0)
    port = first.getsockname()[1]
    with closing(socket.create_connection(("127.0.0.1", port))) as visitor:
        answered, _ = first.accept()
        answered.close()  # the side that closes first keeps the port waiting
        first.close()
        visitor.recv(1)

    with network.listen("127.0.0.1", port) as second:
        assert second.getsockname() == ("127.0.0.1", port)


def test_an_address_that_is_not_this_machines():
    with pytest.raises(StartError) as refused:
        network.listen("203.0.113.7", 8400)

    assert str(refused.value) == (
        "This machine cannot listen on 203.0.113.7:8400 (Cannot assign requested address)."
    )


def test_a_reserved_port():
    denied = PermissionError(13, os.strerror(13))

    assert network.refusal("0.0.0.0", 80, denied) == (
        "Port 80 is reserved for the system: choose one above 1023 with --port."
    )


def test_the_addresses_told_are_this_machines_own():
    for address in network.lan_addresses():
        with network.listen(address, 0) as listener:
            assert listener.getsockname()[0] == address
