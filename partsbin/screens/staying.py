"""What the depot's file or disk refuses under an open screen is told there in words; the program stays up.

``away`` and ``attempt`` tell what a worker was refused. Here is the same for what screens read themselves: a share
that went away, a file that was cut short.
"""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, cast

from textual.message import Message
from textual.message_pump import MessagePump

from partsbin.errors import Refused

if TYPE_CHECKING:
    from partsbin.screens.app import PartsbinApp


class Staying(MessagePump):
    """Mixed into the program and its screens: one whose message ends in a fault of the file takes the next one."""

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except (Refused, sqlite3.Error) as error:
            if not cast("PartsbinApp", self.app).told(error):
                raise
