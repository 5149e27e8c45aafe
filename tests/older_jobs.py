"""Jobs as earlier versions of the program left them in a store."""

import json
import sqlite3
from collections.abc import Mapping
from contextlib import closing

from analysis.archive.database import DATABASE_FILE
from analysis.archive.store import Store


def with_list_of_an_older_version(store: Store, job_id: int, points: Mapping[str, bool]) -> None:
    """Give a job a list of its own, as it had one before each pull kept the station's."""
    with closing(sqlite3.connect(store.folder / DATABASE_FILE)) as database, database:
        found = database.execute(
            "UPDATE jobs SET checklist = ? WHERE id = ?", (json.dumps(points), job_id)
        )
        assert found.rowcount == 1
