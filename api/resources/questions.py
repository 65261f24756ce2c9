"""What customers asked on their pages, and the answers; and the deposit that work waits for."""

from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, Taken, text
from api.operation import Call, Endpoint, operation
from shop.books.models import PaymentRequest
from shop.floor.flows import money
from shop.quotes import questions
from shop.quotes.models import Question
from shop.units import queries


class QuestionOut(Given):
    """A question, and its answer; empty while there is none."""

    id = serializers.UUIDField()
    unit = serializers.UUIDField(source="unit_id")
    asked = serializers.CharField(source="asked.text")
    asked_at = serializers.DateTimeField(source="created_at")
    answer = serializers.CharField(source="answer.text", default="")
    answered_at = serializers.DateTimeField(allow_null=True)
    answered_by = serializers.CharField()


class OpenQuestions(Endpoint):
    """What waits for an answer."""

    @operation("list_open_questions", verb="quotes.answer", gives=QuestionOut, many=True)
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the questions that wait for an answer, oldest first."""
        return questions.open_questions()


class UnitQuestions(Endpoint):
    """What was asked about one unit."""

    @operation("list_questions", verb="quotes.answer", gives=QuestionOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List what was asked about a unit, in order."""
        return questions.questions_of(queries.one(unit_id).id)


class ReplyIn(Taken):
    """The shop's answer."""

    answer = text(questions.LIMIT, required=True)


class AnswerQuestion(Endpoint):
    """The answer to a question."""

    @operation("answer_question", verb="quotes.answer", takes=ReplyIn, gives=QuestionOut)
    def post(self, call: Call, question_id: UUID) -> Question:
        """Answer a question once; the customer is told."""
        return questions.answer(actor=call.actor, question_id=question_id, text=call.data["answer"])


class DepositOut(GivenRow):
    """Money asked for before work begins. Open while neither settled nor waived."""

    class Meta:
        model = PaymentRequest
        fields = ["id", "amount_minor", "currency", "created_at", "settled_at", "waived_at"]


class WaiveIn(Taken):
    """Why work may begin without it, for the trail."""

    reason = text(300, required=True)


class WaiveDeposit(Endpoint):
    """Work without the deposit."""

    @operation("waive_deposit", verb="books.waive_deposit", takes=WaiveIn, gives=DepositOut)
    def post(self, call: Call, unit_id: UUID) -> PaymentRequest:
        """Let work begin without the deposit that was asked for."""
        queries.one(unit_id)
        return money.waive_deposit(actor=call.actor, unit_id=unit_id, reason=call.data["reason"])
