"""The reckoner's table of contents."""

from shop.reckoner.forms import Reckoning
from shop.reckoner.topics import electrolytics, marks, regulators, video

CHAPTERS = (marks.CHAPTER, electrolytics.CHAPTER, regulators.CHAPTER, video.CHAPTER)
RECKONINGS: dict[str, Reckoning] = {each.name: each for chapter in CHAPTERS for each in chapter.reckonings}
