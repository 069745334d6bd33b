"""A key of this computer, kept in the person's own folder: nobody can forge what it signs."""

import os
import secrets
from pathlib import Path

from chattutor.common.exits import CannotGoOn, reason

SECRET_SIZE = 32  # bytes; as long as the hash, as RFC 2104 advises
NOT_KEPT = "The key {path} cannot be kept: {reason}."


def kept_secret(path: Path) -> bytes:
    """The secret in this file, made at the first use and readable by its owner only. Raises CannotGoOn."""
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            secret = path.read_bytes()
            if len(secret) == SECRET_SIZE:
                return secret
            path.unlink()
            return kept_secret(path)
        with os.fdopen(handle, "wb") as file:
            secret = secrets.token_bytes(SECRET_SIZE)
            file.write(secret)
        return secret
    except OSError as error:
        raise CannotGoOn(NOT_KEPT.format(path=path, reason=reason(error))) from error
