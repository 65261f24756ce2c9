"""How fast a job sheet is laid out for a board of 2,000 placements: in 300 ms, and as a ratio beside plain rows."""

import time

import pytest

from shop.boards.models import BoardEdition, BoardRevision, DeviceModel, Placement, Service
from shop.core.actor import Actor
from shop.people.models import Customer
from shop.units.models import Unit
from shop.work.models import JobStep
from shop.work.steps import make_job_sheet

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]
PLACEMENTS = 2_000


@pytest.fixture
def large(lantern: DeviceModel, ada: Customer) -> Unit:
    revision = BoardRevision.objects.create(model=lantern, marking="QL-B9")
    edition = BoardEdition.objects.create(revision=revision, number=1, width_mm=400, height_mm=300)
    Placement.objects.bulk_create(
        Placement(
            edition=edition, designator=f"C{n + 1}", value="100 µF", rating="25 V", kind="electrolytic",
            x_mm=n % 50 * 8, y_mm=n // 50 * 7, positive="left",
        )
        for n in range(PLACEMENTS)
    )  # fmt: skip
    return Unit.objects.create(
        number=117, customer=ada, model=lantern, revision=revision, edition=edition, stage="bench", visit="work"
    )


def test_two_thousand_placements_are_laid_out_in_300_ms(large: Unit, technician: Actor) -> None:
    recap = Service.objects.create(code="recap", name="Recap", nature="replace", selects=["electrolytic"])
    took, plain = [], []
    for _ in range(3):
        JobStep.objects.all().delete()
        began = time.perf_counter()
        made = make_job_sheet(actor=technician, unit=large, kind="work", services=[recap])
        took.append(time.perf_counter() - began)
        JobStep.objects.all().delete()
        began = time.perf_counter()
        JobStep.objects.bulk_create(
            (JobStep(unit=large, position=n, code="fit", words="Fit it") for n in range(len(made))), batch_size=500
        )
        plain.append(time.perf_counter() - began)
    print(
        f"\njob sheet of {PLACEMENTS:,} placements: {min(took):.3f} s; as many plain rows stored: {min(plain):.3f} s; "
        f"ratio {min(took) / min(plain):.1f}"
    )
    assert len({ref for step in made if step.code == "fit" for ref in step.refs}) == PLACEMENTS
    assert min(took) < 0.3
