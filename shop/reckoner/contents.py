"""The reckoner's table of contents."""

from shop.reckoner.forms import Reckoning
from shop.reckoner.topics import (
    cans,
    electrolytics,
    fit,
    marks,
    measuring,
    regulators,
    rework,
    video,
    video_signals,
    wire_and_batteries,
)

CHAPTERS = (
    marks.CHAPTER,
    cans.CHAPTER,
    fit.CHAPTER,
    electrolytics.CHAPTER,
    regulators.CHAPTER,
    video.CHAPTER,
    video_signals.CHAPTER,
    wire_and_batteries.CHAPTER,
    rework.CHAPTER,
    measuring.CHAPTER,
)
RECKONINGS: dict[str, Reckoning] = {each.name: each for chapter in CHAPTERS for each in chapter.reckonings}
