"""From the controls of a lesson back to a design: what was moved, and the design on show kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tonewood import checks
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.design import Design


def moved(start: dict[str, Any], values: dict[str, Any]) -> dict[str, Any]:
    """The values of controls that stand elsewhere than they start: only these change a design, so that what
    a slider cannot show stays. Raises ValueError for a control the lesson has not."""
    checks.choice_of("control", values, start)
    return {name: value for name, value in values.items() if value != start[name]}


def kept_by(build: Callable[..., Design]) -> Callable[[Design, dict[str, Any], str], Design]:
    """The `keep` of a LessonNeck: what a lesson's `build` makes of a design and its controls, renamed."""
    return lambda design, values, name: build(design, **values).changed(name=name)


def lumped_joint(design: Design) -> list[str]:
    """For `cannot` of a lesson of sound: that another joint than neck No. 12's is heard as the same."""
    return [] if design.joint == NECK_12.joint else [
        f"Its joint, {design.joint}, is not told from another: joint, hardware and hands are one lumped loss "
        "here."]
