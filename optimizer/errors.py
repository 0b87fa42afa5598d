"""The error tree, by whose turn it is: the user's (`InputError`, `NoPlan`) or ours (`Bug`)."""

from __future__ import annotations

__all__ = ["Bug", "InputError", "NoPlan", "SeamwiseError", "TimeUp"]


class SeamwiseError(Exception):
    """Base of every error that a user may see; its text is one readable sentence."""


class InputError(SeamwiseError):
    """
    Something the user wrote can't be used.

    Parameters
    ----------
    message
        What was found and what would be right.
    where
        File and key, as `job.toml: roof.pitch`; empty when there is no file.
    """

    def __init__(self, message: str, where: str = "") -> None:
        super().__init__(f"{where}: {message}" if where else message)
        self.message = message
        self.where = where


class NoPlan(SeamwiseError):
    """The question is clear but can't be met; the text names the piece or the rule."""


class TimeUp(NoPlan):
    """No plan was found in the time given; that says nothing about whether there is one."""


class Bug(SeamwiseError):
    """A plan failed its own audit, or a model broke a promise: ours to mend."""
