"""Work out one calculation of the reckoner."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shop.core.reasons import Refused, sentence
from shop.reckoner.asking import reckon, reckoning
from shop.reckoner.contents import CHAPTERS
from shop.reckoner.forms import Answer, Reckoning
from shop.reckoner.showing import shown


class Command(BaseCommand):
    """Print an answer as sentences, or as JSON; --list prints the table of contents."""

    help = "Works out a calculation: reckon NAME figure=value …, in the units that reckon NAME --asks prints."
    # A calculation needs no database and no settings that could be wrong.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a name and its figures, --list, --asks and --json."""
        parser.add_argument("name", nargs="?", default="", help="which calculation")
        parser.add_argument("figures", nargs="*", metavar="figure=value", help="what is left out takes its default")
        parser.add_argument("--list", action="store_true", help="name all calculations")
        parser.add_argument("--asks", action="store_true", help="say what a calculation asks for, and in which units")
        parser.add_argument("--json", action="store_true", help="for machines, in SI units")

    def handle(self, *_args: Any, **options: Any) -> None:
        """List, or reckon."""
        try:
            if options["list"] or not options["name"]:
                self._list()
            elif options["asks"]:
                self._asks(reckoning(options["name"]))
            else:
                answer = reckon(options["name"], self._figures(options["figures"]))
                self._json(answer) if options["json"] else self._say(answer, reckoning(options["name"]))
        except Refused as refused:
            raise CommandError(" ".join(map(sentence, refused.reasons))) from refused

    def _figures(self, typed: list[str]) -> dict[str, str]:
        for each in typed:
            if "=" not in each:
                raise CommandError(f"{each} is no figure. Write name=value, for example load_ma=500.")
        return dict(each.split("=", 1) for each in typed)

    def _list(self) -> None:
        for chapter in CHAPTERS:
            self.stdout.write(f"\n{chapter.title}")
            for each in chapter.reckonings:
                self.stdout.write(f"  {each.name:<22} {each.title}")

    def _asks(self, asked_for: Reckoning) -> None:
        self.stdout.write(f"{asked_for.title} ({asked_for.source})")
        for each in asked_for.asks:
            choices = " | ".join(value for value, _label in each.choices)
            said = f"{each.label}{f', in {each.unit}' if each.unit else ''}{f': {choices}' if choices else ''}"
            self.stdout.write(f"  {each.name}={each.default:<24} {said}")

    def _say(self, answer: Answer, asked_for: Reckoning) -> None:
        self.stdout.write(answer.sentence)
        for figure in answer.figures:
            self.stdout.write(f"  {figure.label}: {shown(figure.value, str(figure.unit))}")
        for line in (answer.working, *answer.remarks, *answer.cautions, f"Source: {asked_for.source}"):
            if line:
                self.stdout.write(line)

    def _json(self, answer: Answer) -> None:
        said = {
            "sentence": answer.sentence,
            "figures": {figure.name: {"value": figure.value, "unit": str(figure.unit)} for figure in answer.figures},
            "working": answer.working,
            "remarks": answer.remarks,
            "cautions": answer.cautions,
        }
        self.stdout.write(json.dumps(said, ensure_ascii=False, indent=2))
