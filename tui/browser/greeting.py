"""What the terminal shows while the screen is served: where to look, the key, and what whoever has it can do."""

import contextlib
import socket
from pathlib import Path

from tui.browser.guard import Guard, is_this_machine_only


def greeting(guard: Guard, address: str, held: Path) -> list[str]:
    """What the terminal shows: where to look, the key, and what whoever has it can do."""
    shown = guard.names[0] if guard.names else _reachable(address)
    host = f"[{shown}]" if ":" in shown else shown
    lines = [
        "Open this address in a browser. It ends with a password, which changes each time you start rotary:",
        f"  http://{host}:{guard.port}/enter/{guard.key}",
        f"The screen reads and writes files only in the folder {held.name or held}. Press Ctrl+C to end rotary.",
    ]
    if not is_this_machine_only(address):
        lines += [
            "WARNING: other computers can open this address. Anyone with the password can do all that you can: read,",
            "change and delete the jobs saved here. What you type and see is sent unencrypted: use the address only in "
            "a network",
            "that you trust, never across the internet.",
        ]
    return lines


def _reachable(address: str) -> str:
    """An address that can be typed elsewhere, where it listens on all of them."""
    if address not in ("0.0.0.0", "::"):
        return address
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        # Nothing is sent: the system only says which of its addresses it would send from.
        probe.connect(("192.0.2.1", 9))
        return str(probe.getsockname()[0])
    return socket.gethostname()
