"""Jobs of measuring: making copies, and taking up those that were left lying."""

from __future__ import annotations

from evidence.measuring import actions, making
from evidence.measuring.models import CopyRequest
from me_office.jobs.kinds import Kind

COPIES = Kind(
    CopyRequest, actions.ATTEMPTS, making.make_copy, reads=("photograph__file", "measurement")
)
make_requested = COPIES.make_requested
make_copy, resume_copies = COPIES.tasks(resume="evidence.measuring.tasks.resume_copies")
