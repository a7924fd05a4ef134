"""Readers see the newest row of each thing: the first one, or the last that corrects it.

The conditions are made once a table: making them takes longer than a small database takes to answer.
"""

from functools import cache

from sqlalchemy import ColumnElement, and_, exists, func
from sqlalchemy.orm import aliased

from grader.records.database.columns import Correctable


@cache
def thing_id(rows: type[Correctable]) -> ColumnElement[int]:
    """What other tables refer to: the id of the first row of the thing."""
    return func.coalesce(rows.corrects_id, rows.id)


@cache
def newest(rows: type[Correctable]) -> ColumnElement[bool]:
    """The row is the newest of its thing, and that wasn't withdrawn."""
    return and_(~overtaken(rows), ~rows.withdrawn)


@cache
def overtaken(rows: type[Correctable]) -> ColumnElement[bool]:
    """A later row corrects the same thing."""
    later = aliased(rows)
    return exists().where(later.corrects_id == thing_id(rows), later.id > rows.id).correlate(rows)
