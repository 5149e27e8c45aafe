"""Asks the API of a small stored job far more than the tests do: `python tests/benchmarks/api.py`.

    python tests/benchmarks/api.py [questions an operation, 100 where not given]

Prints how many operations could be asked rightly and wrongly; what schemathesis finds ends it.
"""

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import demo_job
from api_questions import ask_all
from page_bay import PageBay

from analysis.publish.page.app import create_app


def main() -> None:
    examples = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    with tempfile.TemporaryDirectory() as folder, demo_job.small(Path(folder)) as store:
        app = create_app(PageBay(store))
        for mode in ("positive", "negative"):
            print(f"{mode}: {ask_all(app, mode, examples)} operations, {examples} questions each")


if __name__ == "__main__":
    main()
