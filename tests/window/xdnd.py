"""Drops a file onto a window as a file manager does: the XDND protocol, by Xlib alone.

The protocol is that of the freedesktop.org specification "Drag-and-Drop Protocol for the X Window
System", version 5: the target is entered, told where the pointer is, asked whether it will take
the drop, and then fetches the list of files as the selection XdndSelection.
"""

import ctypes
import ctypes.util
import sys
import time
from pathlib import Path

__all__ = ["drop"]

CLIENT_MESSAGE, SELECTION_REQUEST, SELECTION_NOTIFY = 33, 30, 31
REPLACE, ATOM = 0, 4
"""Numbers of X.h and Xatom.h."""
MOST_S = 20.0

Window, Atom, Time = ctypes.c_ulong, ctypes.c_ulong, ctypes.c_ulong
HEAD = [
    ("type", ctypes.c_int),
    ("serial", ctypes.c_ulong),
    ("send_event", ctypes.c_int),
    ("display", ctypes.c_void_p),
]


class Message(ctypes.Structure):
    _fields_ = (
        *HEAD,
        ("window", Window),
        ("message_type", Atom),
        ("format", ctypes.c_int),
        ("data", ctypes.c_long * 5),
    )


class Request(ctypes.Structure):
    _fields_ = (
        *HEAD,
        ("owner", Window),
        ("requestor", Window),
        ("selection", Atom),
        ("target", Atom),
        ("property", Atom),
        ("time", Time),
    )


class Notify(ctypes.Structure):
    _fields_ = (
        *HEAD,
        ("requestor", Window),
        ("selection", Atom),
        ("target", Atom),
        ("property", Atom),
        ("time", Time),
    )


class Event(ctypes.Union):
    _fields_ = (
        ("type", ctypes.c_int),
        ("message", Message),
        ("request", Request),
        ("notify", Notify),
        ("room", ctypes.c_long * 24),
    )


class Source:
    """A window of our own that offers one file."""

    def __init__(self, screen: str, path: Path) -> None:
        self.x = ctypes.CDLL(ctypes.util.find_library("X11") or "libX11.so.6")
        for name in ("XOpenDisplay", "XDefaultRootWindow", "XCreateSimpleWindow", "XInternAtom"):
            getattr(self.x, name).restype = ctypes.c_ulong
        self.display = ctypes.c_void_p(self.x.XOpenDisplay(screen.encode()))
        if not self.display.value:
            raise RuntimeError(f"The screen {screen} cannot be reached. Is Xvfb running?")
        self.root = Window(self.x.XDefaultRootWindow(self.display))
        self.own = Window(self.x.XCreateSimpleWindow(self.display, self.root, 0, 0, 1, 1, 0, 0, 0))
        self.offered = f"{path.resolve().as_uri()}\r\n".encode()
        self.x.XSetSelectionOwner(self.display, self.atom("XdndSelection"), self.own, Time(0))

    def atom(self, name: str) -> Atom:
        return Atom(self.x.XInternAtom(self.display, name.encode(), 0))

    def aware(self, window: Window) -> int | None:
        """A window below this one, or this one, that takes drops."""
        kind, form, count, left = Atom(), ctypes.c_int(), ctypes.c_ulong(), ctypes.c_ulong()
        value = ctypes.POINTER(ctypes.c_ulong)()
        wanted = (self.atom("XdndAware"), ctypes.c_long(0), ctypes.c_long(1), 0, Atom(ATOM))
        given = (kind, form, count, left, value)
        self.x.XGetWindowProperty(self.display, window, *wanted, *map(ctypes.byref, given))
        if count.value:
            return int(window.value)
        root, parent, number = Window(), Window(), ctypes.c_uint()
        below = ctypes.POINTER(Window)()
        asked = map(ctypes.byref, (root, parent, below, number))
        self.x.XQueryTree(self.display, window, *asked)
        found = (self.aware(Window(below[k])) for k in range(number.value))
        return next((one for one in found if one is not None), None)

    def on_screen(self, window: int, at: tuple[int, int]) -> tuple[int, int]:
        """Where a place of a window is on the screen."""
        x, y, child = ctypes.c_int(), ctypes.c_int(), Window()
        found = map(ctypes.byref, (x, y, child))
        self.x.XTranslateCoordinates(self.display, Window(window), self.root, *at, *found)
        return x.value, y.value

    def send(self, to: int, name: str, *data: int) -> None:
        event = Event()
        event.message.type, event.message.window = CLIENT_MESSAGE, to
        event.message.message_type = self.atom(name).value
        event.message.format = 32
        event.message.data[:] = [int(self.own.value), *data, *[0] * (4 - len(data))]
        self.x.XSendEvent(self.display, Window(to), 0, ctypes.c_long(0), ctypes.byref(event))
        self.x.XFlush(self.display)

    def answer(self, asked: Request) -> None:
        """Hand over the list of files."""
        self.x.XChangeProperty(
            self.display,
            Window(asked.requestor),
            Atom(asked.property),
            Atom(asked.target),
            8,
            REPLACE,
            self.offered,
            len(self.offered),
        )
        told = Event()
        told.notify.type, told.notify.requestor = SELECTION_NOTIFY, asked.requestor
        told.notify.selection, told.notify.target = asked.selection, asked.target
        told.notify.property, told.notify.time = asked.property, asked.time
        to = Window(asked.requestor)
        self.x.XSendEvent(self.display, to, 0, ctypes.c_long(0), ctypes.byref(told))
        self.x.XFlush(self.display)

    def wait_for(self, name: str) -> Message:
        """The target's answer of that name; meanwhile it gets what it asks for."""
        wanted, end, event = self.atom(name).value, time.monotonic() + MOST_S, Event()
        while time.monotonic() < end:
            if not self.x.XPending(self.display):
                time.sleep(0.01)
                continue
            self.x.XNextEvent(self.display, ctypes.byref(event))
            if event.type == SELECTION_REQUEST:
                self.answer(event.request)
            elif event.type == CLIENT_MESSAGE and event.message.message_type == wanted:
                return event.message
        raise RuntimeError(f"The window did not answer with {name} in {MOST_S:.0f} s.")


def drop(screen: str, path: Path, at: tuple[int, int]) -> None:
    """Drop a file at a place of the window that takes drops, in pixels from its upper left corner.

    Raises
    ------
    RuntimeError
        If no window takes drops, or the one that does refuses this one.
    """
    source = Source(screen, path)
    target = source.aware(source.root)
    if target is None:
        raise RuntimeError("No window on the screen takes drops.")
    source.send(target, "XdndEnter", 3 << 24, int(source.atom("text/uri-list").value))
    on_screen = source.on_screen(target, at)
    copy = int(source.atom("XdndActionCopy").value)
    for step in (8, 0):
        # Drawn along, as a hand does: the last place counts.
        place = (on_screen[0] - step) << 16 | (on_screen[1] - step)
        source.send(target, "XdndPosition", 0, place, 0, copy)
        status = source.wait_for("XdndStatus")
    if not status.data[1] & 1:
        raise RuntimeError("The window refused the drop.")
    source.send(target, "XdndDrop", 0, 0)
    source.wait_for("XdndFinished")


if __name__ == "__main__":
    # In a process of its own: Xlib ends the one in which a request fails.
    drop(sys.argv[1], Path(sys.argv[2]), (int(sys.argv[3]), int(sys.argv[4])))
