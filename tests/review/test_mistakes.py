from __future__ import annotations

from probewright.review.catalogue import RULES
from support.mistakes import BLOCK, examples, table, written


def test_every_rule_has_an_example_with_its_own_message():
    found = examples()
    assert list(found) == list(RULES)
    assert all(remark.severity == RULES[rule].severity for rule, remark in found.items())
    messages = [(remark.record, remark.message) for remark in found.values()]
    assert len(set(messages)) == len(messages)


def test_messages_are_clauses_and_hints_are_sentences():
    for rule, remark in examples().items():
        assert remark.message, rule
        assert not remark.message.endswith("."), rule
        assert remark.hint.endswith((".", "!")), rule
        assert remark.hint[0].isupper(), rule
    for rule in RULES.values():
        assert rule.why, rule.id
        assert not rule.finds.endswith("."), rule.id
        assert not rule.why.endswith("."), rule.id


def test_the_table_is_written_between_its_marks_and_nowhere_else():
    text = "before\n<!-- common mistakes -->\nold\n<!-- end of the common mistakes -->\nafter\n"
    made = written(text)
    assert made == f"before\n<!-- common mistakes -->\n{table()}<!-- end of the common mistakes -->\nafter\n"
    assert BLOCK.search(made)
    assert made.count("\n| `") == len(RULES)
