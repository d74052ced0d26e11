"""X servers for tests."""

from tests.needs import program
from tests.x_server import server_at, x_server


def test_servers_that_run_at_once_have_displays_of_their_own() -> None:
    server = program("Xvfb", "needs an X server")
    screen = ("-screen", "0", "64x64x24")
    with x_server(server, *screen) as one, x_server(server, *screen) as other:
        assert one != other
        with server_at(one, server, *screen) as started:
            assert not started, "a display that is taken was given again"


def test_a_program_that_is_no_server_gives_no_display() -> None:
    with x_server("false") as display:
        assert display == ""
