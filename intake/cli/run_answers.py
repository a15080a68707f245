"""Answers of `intake run` as objects for programs and as lines for people."""

from __future__ import annotations

from typing import TYPE_CHECKING

from intake.cli.context import CommandContext
from intake.flow.runs.run_view import RunView
from intake.units.convert import whole

if TYPE_CHECKING:
    from intake.flow.runs.seek_editions import SeekAnswer, SoughtChoice, SoughtEdition
    from intake.flow.runs.spare_copies import SpareAnswer


def view_object(view: RunView) -> dict[str, object]:
    """Return what is known of a serial, for programs."""
    return {
        "serial": view.serial,
        "known": view.known,
        "extent": view.extent,
        "held": view.held,
        "published": view.published,
        "gaps": list(view.gaps),
        "longest": view.longest,
        "editions": [
            {
                "key": one.key,
                "title": one.name,
                "collects": one.collects,
                "alone": one.alone,
                "state": one.holding.value,
                "where": list(one.where),
                "gone": list(one.gone),
            }
            for one in view.editions
        ],
        "reading": [{"parts": step.parts, "copy": step.copy, "where": step.where} for step in view.reading],
        "remarks": list(view.remarks),
    }


def gaps_object(view: RunView) -> dict[str, object]:
    """Return what is missing of a serial, for programs."""
    return {
        "serial": view.serial,
        "known": view.known,
        "held": view.held,
        "gaps": list(view.gaps),
        "remarks": list(view.remarks),
    }


def answer_object(answer: SeekAnswer) -> dict[str, object]:
    """Return what to look for, for programs."""
    return {
        "serial": answer.serial,
        "sought": answer.sought,
        **_choice_object(answer.best),
        "currency": answer.currency,
        "bound": answer.bound,
        "alternatives": [_choice_object(other) for other in answer.others],
        "without_price": [_edition_object(one) for one in answer.unpriced],
        "remarks": list(answer.remarks),
    }


def _choice_object(choice: SoughtChoice) -> dict[str, object]:
    return {
        "choose": [_edition_object(one) for one in choice.editions],
        "cost": str(choice.cost),
        "left": list(choice.left),
        "proved": choice.proved,
    }


def _edition_object(one: SoughtEdition) -> dict[str, object]:
    """Return an edition to look for; `price` is in the currency of the answer, `stated` as the catalog has it."""
    return {
        "key": one.key,
        "title": one.name,
        "collects": one.collects,
        "price": None if one.price is None else str(one.price),
        "stated": one.stated,
    }


def say_answer(context: CommandContext, answer: SeekAnswer) -> None:
    """Say what to look for."""
    context.say(f"{answer.serial}: looking for {answer.sought or 'nothing, for none of it is missing'}")
    if answer.best.editions:
        context.table(
            ("Edition", "Title", "Collects", "Closes", "Price"),
            ((one.key, one.name, one.collects, one.closes, one.stated) for one in answer.best.editions),
            wraps=("Title", "Collects", "Closes"),
        )
        context.say(f"Together {answer.best.cost} {answer.currency}.")
    proof = "proved" if answer.proved else f"not proved: {answer.bound}"
    if answer.sought:
        context.say(f"Left: {'; '.join(answer.best.left) or 'nothing'} ({proof}).")
    for nth, other in enumerate(answer.others, 2):
        names = ", ".join(one.key for one in other.editions)
        proof = "" if other.proved else " (not proved)"
        context.say(f"{nth}. best: {names}, {other.cost} {answer.currency}{proof}")
    if answer.unpriced:
        names = ", ".join(f"{one.key} ({one.closes})" for one in answer.unpriced)
        context.say(f"Left out, for no price can be compared: {names}.", style="yellow")
    for remark in answer.remarks:
        context.say(remark, style="yellow")


def spare_object(answer: SpareAnswer) -> dict[str, object]:
    """Return which copies could go, for programs."""
    copies = [
        {
            "copy": one.copy,
            "collects": one.collects,
            "also_in": list(one.also_in),
            "thickness_mm": whole(one.frees_mm),
            "value": one.worth,
            "why": one.why,
        }
        for one in answer.copies
    ]
    return {
        "copies": copies,
        "freed_mm": whole(answer.freed_mm),
        "proved": answer.proved,
        "bound_mm": whole(answer.bound_mm),
        "remarks": list(answer.remarks),
    }
