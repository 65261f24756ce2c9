"""What a worker does for the floor."""

from uuid import UUID

from celery import shared_task

from shop.core.actor import SYSTEM
from shop.floor.flows import days, lost_link


@shared_task(name="floor.send_links", ignore_result=True)
def send_links(wish_id: str) -> None:
    """Send the links that somebody wished for, if the address is known."""
    lost_link.send_links(UUID(wish_id))


@shared_task(name=days.APPROVED, ignore_result=True)
def name_day_approved(quote_id: str) -> None:
    """Name the day of an approval where the process that took it could not."""
    days.approved(actor=SYSTEM, subject_id=UUID(quote_id))


@shared_task(name=days.DEPOSIT, ignore_result=True)
def name_day_deposit(request_id: str) -> None:
    """Name the day of a unit whose deposit is over, where the process that ended it could not."""
    days.deposit_over(actor=SYSTEM, subject_id=UUID(request_id))
