"""What makes content a course: every name known, every link meeting something, no circle of lessons."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from generator.content_checks_exam import exam_faults
from generator.content_checks_learning import learning_faults
from generator.content_checks_mistakes import mistake_faults
from generator.content_checks_program import program_check_faults
from generator.content_checks_sheets import sheet_faults
from generator.content_names import expression_fault, fact_kinds, unknown_names
from generator.content_places import Placed
from generator.errors import Fault, near
from generator.expr import Kind, Template
from generator.expr.template import Hole
from generator.library import MADE_PAGES, MODULES, Library
from generator.model.calculator import Calculator
from generator.model.checklist import Checklist
from generator.model.lesson import Body, Place, Prose, Variant
from generator.model.plan import Step, step_kinds
from generator.model.question import Question

LINK = re.compile(r"\]\((glossary|lesson|calculator|checklist|drill|source|page):([a-z0-9-]+)\)")
LINKED = {"glossary": "glossary"}
Placing = Mapping[tuple[str, str], Placed]
_Where = tuple[str | int, ...]


def library_faults(library: Library, placed: Placing) -> list[Fault]:
    """Every fault that shows only when all content is seen together, in no particular order."""
    checking = _Checking(library, placed)
    return [*checking.simple(), *checking.calculators(), *checking.checklists(), *checking.acts(),
            *checking.questions(),
            *checking.lessons(), *checking.pages(), *checking.plans(), *learning_faults(library, placed),
            *mistake_faults(library, placed), *sheet_faults(library, placed), *exam_faults(library, placed),
            *program_check_faults(library, placed)]  # fmt: skip


class _Checking:
    def __init__(self, library: Library, placed: Placing) -> None:
        self.library = library
        self.placed = placed
        self.facts = fact_kinds()

    def simple(self) -> Iterator[Fault]:
        for rule in self.library.rules.values():
            at = self.placed["rules", rule.id]
            yield from self.expr(at, ("when",), rule.when, self.facts, "bool")
            yield from self.known(at, ("source",), "sources", rule.source)
        for term in self.library.glossary.values():
            yield from self.known(self.placed["glossary", term.id], ("lesson",), "lessons", term.lesson)
        for cutter in self.library.cutters.values():
            yield from self.all_known(self.placed["cutters", cutter.id], ("sources",), "sources", cutter.sources)

    def calculators(self) -> Iterator[Fault]:
        for calculator in self.library.calculators.values():
            at = self.placed["calculators", calculator.id]
            yield from self.known(at, ("lesson",), "lessons", calculator.lesson)
            yield from self.known(at, ("figure",), "figures", calculator.figure)
            yield from self.all_known(at, ("sources",), "sources", calculator.sources)
            yield from self.formulas(calculator, at)

    def formulas(self, calculator: Calculator, at: Placed) -> Iterator[Fault]:
        kinds = self.facts | {field.name: field.kind for field in calculator.inputs}
        for index, field in enumerate(calculator.inputs):
            if field.default is not None:
                yield from self.expr(at, ("inputs", index, "default"), field.default, self.facts, field.kind)
        for index, constant in enumerate(calculator.constants):
            yield from self.known(at, ("constants", index, "source"), "sources", constant.source)
            kinds[constant.name] = "number"
        for index, output in enumerate(calculator.outputs):
            where = ("outputs", index)
            yield from self.expr(at, (*where, "expr"), output.expr, kinds, output.kind)
            for end in ("low", "high"):
                if getattr(output, end) is not None:
                    yield from self.expr(at, (*where, end), getattr(output, end), kinds, output.kind)
            kinds[output.name] = output.kind
        yield from self.after_formulas(calculator, at, kinds)

    def after_formulas(self, calculator: Calculator, at: Placed, kinds: Mapping[str, Kind]) -> Iterator[Fault]:
        if calculator.covers is not None:
            yield from self.expr(at, ("covers",), calculator.covers, kinds, "bool")
        for index, advice in enumerate(calculator.advice):
            yield from self.expr(at, ("advice", index, "when"), advice.when, kinds, "bool")
            yield from self.words(at, ("advice", index, "says"), advice.says, kinds)
        for index, example in enumerate(calculator.examples):
            yield from self.known(at, ("examples", index, "source"), "sources", example.source)
            for name in (*example.inputs, *example.expect):
                if name not in kinds:
                    yield at.fault(("examples", index), f"'{name}' is not a name of this calculator{near(name, kinds)}")

    def checklists(self) -> Iterator[Fault]:
        for checklist in self.library.checklists.values():
            at = self.placed["checklists", checklist.id]
            yield from self.points(checklist, at)

    def points(self, checklist: Checklist, at: Placed) -> Iterator[Fault]:
        seen: set[str] = set()
        for p, point in enumerate(checklist.points):
            yield from self.known(at, ("points", p, "rule"), "rules", point.rule)
            for i, item in enumerate(point.items):
                where = ("points", p, "items", i)
                yield from self.known(at, (*where, "rule"), "rules", item.rule)
                yield from self.known(at, (*where, "unless"), "rules", item.unless)
                yield from self.known(at, (*where, "lesson"), "lessons", item.lesson)
                yield from self.words(at, (*where, "check"), item.check, self.facts)
                yield from self.words(at, (*where, "want"), item.want, self.facts)
                if item.id in seen:
                    yield at.fault((*where, "id"), f"'{item.id}' is used twice in this checklist")
                seen.add(item.id)

    def acts(self) -> Iterator[Fault]:
        for act in self.library.acts.values():
            at = self.placed["acts", act.id]
            yield from self.known(at, ("rule",), "rules", act.rule)
            yield from self.all_known(at, ("lessons",), "lessons", act.lessons)
            yield from self.words(at, ("does",), act.does, self.facts)

    def questions(self) -> Iterator[Fault]:
        for question in self.library.questions.values():
            at = self.placed["questions", question.id]
            yield from self.known(at, ("lesson",), "lessons", question.lesson)
            yield from self.known(at, ("rule",), "rules", question.rule)
            yield from self.numbers_of(question, at)

    def numbers_of(self, question: Question, at: Placed) -> Iterator[Fault]:
        kinds = dict(self.facts)
        for name, given in question.given.items():
            yield from self.expr(at, ("given", name, "value"), given.value, self.facts, "number")
            kinds[name] = "number"
        for index, form in enumerate(question.forms):
            for name in set(form) - set(question.given):
                yield at.fault(("forms", index), f"'{name}' is not given in this question{near(name, question.given)}")
        if question.answer is not None:
            yield from self.expr(at, ("answer",), question.answer, kinds, "number")
            kinds["answer"] = "number"
        for index, slip in enumerate(question.slips):
            yield from self.expr(at, ("slips", index, "expr"), slip.expr, kinds, "number")
            yield from self.words(at, ("slips", index, "why"), slip.why, kinds)
            yield from self.known(at, ("slips", index, "lesson"), "lessons", slip.lesson)
        yield from self.words(at, ("stem",), question.stem, kinds)
        yield from self.words(at, ("why",), question.why or (), kinds)
        for index, option in enumerate(question.options):
            where = ("options", index)
            yield from self.words(at, (*where, "text"), option.text, kinds)
            yield from self.words(at, (*where, "why"), option.why, kinds)
            yield from self.known(at, (*where, "lesson"), "lessons", option.lesson)
            if option.correct_when is not None:
                yield from self.expr(at, (*where, "correct_when"), option.correct_when, kinds, "bool")
        fixed_key = question.kind == "choice" and all(option.correct_when is None for option in question.options)
        if fixed_key and sum(option.correct for option in question.options) != 1:
            yield at.fault(("options",), "exactly one option is correct")

    def lessons(self) -> Iterator[Fault]:
        for lesson in self.library.lessons.values():
            head, at = lesson.head, self.placed["lessons", lesson.head.id]
            if head.module not in MODULES:
                yield at.fault(("module",), f"'{head.module}' is not a module{near(head.module, MODULES)}")
            yield from self.all_known(at, ("needs",), "lessons", head.needs)
            yield from self.all_known(at, ("sources",), "sources", head.sources)
            yield from self.known(at, ("figure",), "figures", head.figure)
            yield from self.known(at, ("calculator",), "calculators", head.calculator)
            yield from self.words(at, ("at_the_machine",), head.at_the_machine, self.facts)
            yield from self.words(at, ("caution",), head.caution, self.facts)
            yield from self.body(lesson.body)
            if self.reaches(head.id, head.id):
                yield at.fault(
                    ("needs",), f"'{head.id}' needs itself, by way of the lessons it needs; break the circle"
                )

    def reaches(self, start: str, wanted: str) -> bool:
        pending, seen = list(self.needs(start)), set()
        while pending:
            found = pending.pop()
            if found == wanted:
                return True
            if found not in seen:
                seen.add(found)
                pending += self.needs(found)
        return False

    def needs(self, lesson: str) -> tuple[str, ...]:
        found = self.library.lessons.get(lesson)
        return found.head.needs if found else ()

    def pages(self) -> Iterator[Fault]:
        for body in self.library.pages.values():
            yield from self.body(body)

    def plans(self) -> Iterator[Fault]:
        for plan in self.library.plans.values():
            at, kinds = self.placed["plans", plan.id], dict(self.facts)
            for index, step in enumerate(plan.steps):
                yield from self.step(at, ("steps", index), step, kinds)
            for index, figure in enumerate(plan.figures):
                where = ("figures", index)
                for end in ("value", "low", "high", "when"):
                    if getattr(figure, end) is not None:
                        says = expression_fault(getattr(figure, end), kinds, None)
                        yield from [at.fault((*where, end), says)] if says else []
                yield from self.words(at, (*where, "why"), figure.why, kinds)
            for index, finding in enumerate(plan.findings):
                yield from self.expr(at, ("findings", index, "when"), finding.when, kinds, "bool")
                yield from self.words(at, ("findings", index, "says"), finding.says, kinds)
                yield from self.words(at, ("findings", index, "mend"), finding.mend, kinds)
                yield from self.known(at, ("findings", index, "lesson"), "lessons", finding.lesson)

    def step(self, at: Placed, where: _Where, step: Step, kinds: dict[str, Kind]) -> Iterator[Fault]:
        yield from self.known(at, (*where, "calculator"), "calculators", step.calculator)
        calculator = self.library.calculators.get(step.calculator)
        fields = {field.name: field.kind for field in calculator.inputs} if calculator else {}
        for name, node in step.given.items():
            if name not in fields:
                yield at.fault(
                    (*where, "given", name), f"'{name}' is not a field of '{step.calculator}'{near(name, fields)}"
                )
            else:
                yield from self.expr(at, (*where, "given", name), node, kinds, fields[name])
        if step.when is not None:
            yield from self.expr(at, (*where, "when"), step.when, kinds, "bool")
        if calculator:
            kinds |= step_kinds(step, calculator)

    def body(self, body: Body) -> Iterator[Fault]:
        for block in body.every():
            says: list[str | None] = []
            match block:
                case Prose(text=text):
                    says = [*self.prose_faults(text)]
                case Variant(rule=rule):
                    says = [self.missing("rules", rule)]
                case Place(kind="figure", id=id_):
                    says = [self.missing("figures", id_)]
                case Place(id=id_, given=given, only=only):
                    says = [self.missing("calculators", id_), self.given_fault(id_, given), self.only_fault(id_, only)]
            yield from (Fault(body.file, block.line, 1, text) for text in says if text)

    def given_fault(self, calculator: str, given: Mapping[str, float]) -> str | None:
        known = self.library.calculators.get(calculator)
        names = [field.name for field in known.inputs] if known else list(given)
        wrong = [name for name in given if name not in names]
        return f"'{wrong[0]}' is not a field of '{calculator}'{near(wrong[0], names)}" if wrong else None

    def only_fault(self, calculator: str, only: tuple[str, ...]) -> str | None:
        known = self.library.calculators.get(calculator)
        names = [output.name for output in known.outputs] if known else list(only)
        wrong = [name for name in only if name not in names]
        return f"'{wrong[0]}' is not an output of '{calculator}'{near(wrong[0], names)}" if wrong else None

    def prose_faults(self, text: Template) -> Iterator[str | None]:
        for part in text:
            if isinstance(part, Hole):
                yield expression_fault(part.node, self.facts, None)
            else:
                for kind, id_ in LINK.findall(part):
                    if kind != "page" or id_ not in MADE_PAGES:
                        yield self.missing(LINKED.get(kind, f"{kind}s"), id_)

    def missing(self, kind: str, id_: str) -> str | None:
        known = getattr(self.library, kind)
        return None if id_ in known else f"there is no '{id_}' among the {kind}{near(id_, known)}"

    def known(self, at: Placed, where: _Where, kind: str, id_: str | None) -> Iterator[Fault]:
        says = self.missing(kind, id_) if id_ is not None else None
        if says:
            yield at.fault(where, says)

    def all_known(self, at: Placed, where: _Where, kind: str, ids: tuple[str, ...]) -> Iterator[Fault]:
        for index, id_ in enumerate(ids):
            yield from self.known(at, (*where, index), kind, id_)

    def expr(self, at: Placed, where: _Where, node: object, kinds: Mapping[str, Kind], wanted: Kind) -> Iterator[Fault]:
        says = expression_fault(node, kinds, wanted)
        if says:
            yield at.fault(where, says)

    def words(self, at: Placed, where: _Where, text: Template, kinds: Mapping[str, Kind]) -> Iterator[Fault]:
        yield from (at.fault(where, says) for says in unknown_names(text, kinds))
