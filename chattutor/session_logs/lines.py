"""Bytes to the lines of a session log, of this schema or the one before. Nothing is taken that is not as written."""

import msgspec

from chattutor.session_logs import schema_1
from chattutor.session_logs.hash_chain import NotALine
from chattutor.session_logs.schema import SCHEMA, EndLine, Header, LogLine, TurnLine


class _First(msgspec.Struct, gc=False, tag_field="chattutor", tag="session"):
    schema: int


_first = msgspec.json.Decoder(_First).decode
_header = msgspec.json.Decoder(Header).decode
_line = msgspec.json.Decoder(TurnLine | EndLine).decode
_lines = msgspec.json.Decoder(TurnLine | EndLine).decode_lines
BAD = (msgspec.MsgspecError, UnicodeDecodeError, RecursionError)


class NewerSchema(NotALine):
    """A header of a schema that this version does not know."""


def read_header(line: bytes) -> Header:
    """The first line. Raises NotALine, and NewerSchema where a later version wrote it."""
    try:
        schema = _first(line).schema
    except BAD as error:
        raise NotALine("it is not a session log" if _is_json(line) else "it is not JSON") from error
    if schema > SCHEMA:
        raise NewerSchema(f"It was written by a newer version (schema {schema}; this version reads up to {SCHEMA}).")
    try:
        return _header(line) if schema == SCHEMA else schema_1.header(line)
    except BAD as error:
        raise NotALine("its first line is not a session log's") from error


def read_line(line: bytes, schema: int = SCHEMA) -> LogLine:
    """A line after the first. Raises NotALine."""
    try:
        return _line(line) if schema == SCHEMA else schema_1.line(line)
    except BAD as error:
        raise NotALine("it is neither a turn nor a closing line" if _is_json(line) else "it is not JSON") from error


def read_lines(lines: bytes, schema: int = SCHEMA) -> list[LogLine]:
    """All lines after the first. Raises NotALine."""
    try:
        return _lines(lines) if schema == SCHEMA else list(map(schema_1.line, lines.splitlines()))
    except BAD as error:
        raise NotALine("not every line of it is a turn or a closing line") from error


def _is_json(line: bytes) -> bool:
    try:
        msgspec.json.decode(line)
    except BAD:
        return False
    return True
