"""A visit's plan as text for a dispatcher."""

from __future__ import annotations

from collections.abc import Sequence

from probewright.render.text import Document, bullets, clean, headline, paragraph, percent, plain, section, step_lines

#: A person reads the likeliest few; ``--json`` has the rest.
_MOST_NOT_CARRIED = 5
_ANSWER = " " * 6


def render_visit(answer: Document) -> str:
    """A plan: what to ask, what to bring, how long it takes, and what is done; a hazard stands alone."""
    lines = [headline("Visit plan", answer)]
    if "stop" in answer:
        lines += ["", "NOBODY DRIVES YET: TELL THE CUSTOMER", *step_lines(answer["stop"])]
    else:
        lines += _outlook(answer)
        lines += _questions(answer["questions"])
        lines += _parts(answer["parts"])
        lines += section("BRING", [_need(tool, "tool") for tool in answer["tools"]])
        lines += section("WHOEVER GOES", [_need(skill, "skill") for skill in answer["skills"]])
        lines += _order(answer["order"])
    lines += section("LIKELIEST", [f"{percent(f['probability']).strip()} {f['title']}" for f in answer["likeliest"]])
    said = answer["stop"]["cautions"] if "stop" in answer else ()
    lines += section("ALWAYS MIND", [text for text in answer["cautions"] if text not in said], mark="!")
    lines += section("ASSUMED", answer["assumptions"])
    return clean([*lines, "", *paragraph(answer["notice"], "")])


def _outlook(answer: Document) -> list[str]:
    minutes = answer["minutes"]
    told = [
        f"{minutes['expected']:.0f} minutes on the spot are to be expected, {minutes['closing_checks']:.0f} of them "
        f"for closing checks; eight visits in ten take {minutes['low']:.0f} to {minutes['high']:.0f}",
        f"{percent(answer['first_visit_probability']).strip()} chance that this visit ends the job",
        f"expected cost to a proven repair {answer['expected_cost']:.0f}",
    ]
    return ["", *bullets(told)]


def _questions(questions: Sequence[Document]) -> list[str]:
    if not questions:
        return []
    lines = ["", "ASK THE CUSTOMER"]
    for number, question in enumerate(questions, start=1):
        worth = f" (saves {question['value']:.0f} on average)" if "value" in question else " (always, for safety)"
        lines += paragraph(f"{question['text']}{worth} [{question['id']}]", f"  {number:>2}. ")
        lines += paragraph(question["why"], _ANSWER)
        for answer in question["answers"]:
            lines += paragraph(_choice(answer), f"{_ANSWER}- ")
    return lines


def _choice(answer: Document) -> str:
    """An answer with what it adds to the case."""
    adds = answer["adds"]
    told = [f"{plain(option)}: {plain(value)}" for option, value in adds.get("options", {}).items()]
    told += [f"complaint {plain(name)}" for name in adds.get("complaints", ())]
    told += [f"works: {plain(name)}" for name in adds.get("working", ())]
    told += [f"{plain(reading['test'])}: {plain(reading['seen'])}" for reading in adds.get("readings", ())]
    stop = f" STOP: {answer['stop']['title']}; {answer['stop']['steps'][0]}" if "stop" in answer else ""
    return f"{answer['text']}{' -> ' + ', '.join(told) if told else ''}{stop}"


def _parts(parts: Sequence[Document]) -> list[str]:
    carried = [_part(part) for part in parts if part["carry"] and not part.get("on_van")]
    there = [_part(part) for part in parts if part.get("on_van")]
    left = [_part(part) for part in parts if not part["carry"]]
    return [
        *section("CARRY", carried or ["no part"]),
        *section("ON THE VAN ANYWAY", there),
        *section("LEAVE AT THE SHOP", left[:_MOST_NOT_CARRIED]),
    ]


def _part(part: Document) -> str:
    used, with_it, without = (percent(part[name]).strip() for name in ("probability_used", "ends_with", "ends_without"))
    return (
        f"{part['title']} [{part['part']}], {part['price']:.2f}: used with a chance of {used}; the visit ends the job "
        f"with {with_it} if it is there, with {without} if not"
    )


def _need(need: Document, name: str) -> str:
    return f"{plain(need[name])}: needed with a chance of {percent(need['probability']).strip()}"


def _order(groups: Sequence[Document]) -> list[str]:
    lines = ["", "ORDER OF THE WORK"] if groups else []
    for group in groups:
        zone = f", {plain(group['zone'])}" if "zone" in group else ""
        lines.append(f"  {plain(group['state'])}{zone}")
        lines += [line for item in group["work"] for line in paragraph(_item(item), f"{_ANSWER}- ")]
    return lines


def _item(item: Document) -> str:
    minutes, chance = max(1.0, item["minutes"]), percent(item["probability"]).strip()
    return f"{chance} {item['kind']}: {item['title']} [{item['id']}], about {minutes:.0f} min"
