"""Which of the job's cutters a program cuts with, and the job as it is for one of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from msgspec.structs import replace

from generator.errors import OnionskinError
from generator.load_workshop import JobCase
from generator.model import Job
from generator.model.cutter import Cutter


def with_cutter(case: JobCase, id_: str | None) -> JobCase:
    """The case with the cutter somebody says is in the collet, as it is where nobody does.

    Raises OnionskinError where the job has none such.
    """
    cutters = {cutter.id: cutter for cutter in case.job.cutters}
    if id_ is None:
        return case
    if id_ not in cutters:
        raise OnionskinError(f"the job {case.id} has no cutter '{id_}'; it has {', '.join(cutters)}")
    return replace(case, job=case.job.led_by(cutters[id_]), cutter=id_)


def cutters_used(job: Job, numbers: Sequence[int | None]) -> dict[int | None, Cutter]:
    """The cutters behind the tool numbers a program cuts with; of a number strange to the job nothing is known."""
    return {number: _cutter_of(job, number) for number in numbers}


def _cutter_of(job: Job, number: int | None) -> Cutter:
    if number is None:
        return job.main_cutter
    by_number = {cutter.number: cutter for cutter in reversed(job.cutters)}
    if number in by_number or None in by_number:
        return by_number.get(number) or by_number[None]
    return Cutter.model_construct(id="Cutter", number=number)


def is_listed(cutter: Cutter, job: Job) -> bool:
    """Whether the job knows this cutter."""
    return any(cutter.id == other.id for other in job.cutters)


def is_open(job: Job, numbers: Collection[int | None], said: str | None) -> bool:
    """Whether it is open which of several cutters a program is for: it names none, and nobody has said."""
    planned = {operation.cutter for operation in job.operations} or {cutter.id for cutter in job.cutters}
    return said is None and None in numbers and len(planned) > 1
