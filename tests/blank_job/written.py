"""Jobs to fill in, written for the tests."""

import io

from cli.blank_job.content import blank_job
from cli.blank_job.workbook import write_blank_workbook
from nesting.model.job import Unit


def written(path, unit=Unit.IN, listed=()):
    data = io.BytesIO()
    write_blank_workbook(blank_job(unit, listed), path, data)
    path.write_bytes(data.getvalue())
    return path
