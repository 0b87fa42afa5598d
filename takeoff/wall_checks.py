"""The rules of the trade held against wall skin: studs, edges, gaps, joints, corners, ground, nails."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.lengths import INCH, size_text
from takeoff.job import Job
from takeoff.needs import Check
from takeoff.panelling import Panelling
from takeoff.skin import Skin, SkinPart, narrowest_of, on_plates

__all__ = ["usual_stud_rating", "wall_checks"]

_PRACTICE = "common practice, no source"
_PANELS = "APA B360P p. 50"
_TABLE = "APA B360P Table 19"
_JOINT = "IRC R703.5, from memory (not re-checked)"
_SLIVER = 6 * INCH
_BITE = INCH * 3 // 2


def wall_checks(
    job: Job, skins: Sequence[Skin], parts: Sequence[SkinPart], panels: Panelling
) -> tuple[Check, ...]:
    """Hold every rule of wall skin against the walls."""
    return (
        _stud_check(job, panels),
        *_edge_checks(job, parts, panels),
        *_gap_checks(job, panels),
        *_joint_checks(job, parts, panels),
        *_ground_checks(job, panels),
        *_corner_checks(job, panels),
        *_nail_checks(job, panels),
        *_opening_checks(skins),
        Check(
            "note",
            "wall panels seen from behind",
            "this plan",
            "Cut shows a wall panel from its back, as it lies face down for a circular saw; the drawings of "
            "the walls show it from outside.",
        ),
        Check(
            "note",
            "wind on wall panels",
            "IRC 2018 Table R703.3.2",
            "This nailing holds to 115 mph design wind on sheltered ground at any height, to 50 ft in open "
            "country and 20 ft by the sea; above that, and for the bracing of walls, ask a design "
            "professional.",
        ),
    )


def usual_stud_rating(thickness: int) -> int:
    """Give the stud spacing that panels of this thickness are usually stamped for."""
    return 24 * INCH if thickness >= INCH * 15 // 32 else 16 * INCH


def _stud_check(job: Job, panels: Panelling) -> Check:
    stamped, spacing = panels.table.stud_rating, panels.frame.stud_spacing
    thin = min(item.thickness for item in panels.sizes)
    rating = stamped or usual_stud_rating(thin)
    source = "the panel's own stamp" if stamped else f"{_TABLE} for 16 and 24 in; the thickness from memory"
    told = (
        f"Studs stand {size_text(job.tape, spacing)} apart; {panels.table.material} is "
        f"{'stamped' if stamped else 'usually stamped'} for {size_text(job.tape, rating)}"
    )
    if spacing > rating + INCH // 32:
        return Check("warn", "stud spacing", source, f"{told}: put them closer, or use thicker panels.")
    return Check(
        "pass", "stud spacing", source, f"{told}." if stamped else f"{told}: read the stamp, it wins."
    )


def _edge_checks(job: Job, parts: Sequence[SkinPart], panels: Panelling) -> Iterator[Check]:
    yield Check(
        "pass",
        "edges of wall panels",
        "APA B360P p. 47",
        "Upright edges lie on the middle of studs or at the sides of openings, feet and tops on plates, "
        "rafters or blocking.",
    )
    for part in parts:
        least = narrowest_of(part, panels)
        if least < panels.table.narrowest:
            yield Check(
                "note",
                "narrowest strip",
                _PRACTICE,
                f"{part.label}: studs and panels leave no lay-out without a strip narrower than "
                f"{size_text(job.tape, panels.table.narrowest)}; {size_text(job.tape, least)} passes here.",
            )


def _gap_checks(job: Job, panels: Panelling) -> Iterator[Check]:
    if panels.gap >= 3 * INCH // 32:
        gap = size_text(job.tape, panels.gap)
        yield Check(
            "pass",
            "gap between wall panels",
            _PANELS,
            f"{gap} between panels; caulk the upright joints unless the maker says not.",
        )
    else:
        yield Check(
            "note",
            "gap between wall panels",
            _PANELS,
            "Panels need 1/8 in at edges and ends: ship-lapped edges hold it in their lap; square edges take "
            "a narrower panel, or [walls] gap.",
        )
        yield Check(
            "note",
            "panels turned end for end",
            _PRACTICE,
            "A ship-lapped panel that is turned end for end, as one of two nested gable pieces is, has its "
            "laps on the wrong sides: trim them off there, butt the joint and caulk or batten it.",
        )


def _joint_checks(job: Job, parts: Sequence[SkinPart], panels: Panelling) -> Iterator[Check]:
    table = panels.table
    upper = [part for part in parts if part.level]
    for part in upper:
        joint = part.skin.joints[part.level - 1]
        where = (
            "on the top plates" if on_plates(part.skin, joint, table) else "over blocking between the studs"
        )
        good = bool(table.z_flashing)
        yield Check(
            "pass" if good else "warn",
            "level joint in wall panels",
            _JOINT,
            f"{part.label}: a level joint {size_text(job.tape, joint)} above the foot, {where}"
            + (", with metal over it." if good else ": without metal it must lap 1 in or be ship-lapped."),
        )
        if part.height < _SLIVER:
            yield Check(
                "warn",
                "level joint in wall panels",
                _PRACTICE,
                f"{part.label}: only {size_text(job.tape, part.height)} is left above the joint; a longer "
                "panel, a lower wall or a wider frieze does without it.",
            )
    if not upper:
        yield Check(
            "pass",
            "level joint in wall panels",
            _JOINT,
            "No wall is higher than the longest panel: no level joint.",
        )


def _ground_checks(job: Job, panels: Panelling) -> Iterator[Check]:
    table = panels.table
    clear = size_text(job.tape, table.clearance)
    good = table.clearance >= 6 * INCH
    yield Check(
        "pass" if good else "warn",
        "clearance to the ground",
        _PANELS,
        f"The skin's foot stays {clear} above the ground" + ("." if good else "; 6 in is the least."),
    )
    yield Check(
        "note",
        "clearance elsewhere",
        "one maker's panel siding sheet, page seen",
        "Keep 1 in above paving and above a roof that meets the wall.",
    )
    if table.below < INCH:
        yield Check(
            "warn",
            "foot of the skin",
            _PRACTICE,
            f"The skin reaches {size_text(job.tape, table.below)} over the floor's edge; 1 in sheds "
            "water better.",
        )


def _corner_checks(job: Job, panels: Panelling) -> Iterator[Check]:
    table = panels.table
    if table.corner_board:
        yield Check(
            "note",
            "corner boards",
            _PRACTICE,
            f"Two {table.corner_board} at every corner, one over the edge of the other; rip the one "
            "underneath narrower by its thickness where both faces should look alike. Fit their tops on "
            "site.",
        )
    elif panels.past == "none":
        yield Check(
            "warn", "corners", _PRACTICE, "Neither skin runs past the other, and no board covers the corner."
        )
    if panels.past != "none":
        first = panels.frame.stud_spacing - panels.thickness
        yield Check(
            "note",
            "studs behind a skin that runs past",
            _PRACTICE,
            f"The {panels.past}' skin begins {size_text(job.tape, panels.thickness)} outside the framing: "
            f"there the first stud's centre is {size_text(job.tape, first)} from the framing's corner, so "
            "that panel edges meet on studs.",
        )


def _nail_checks(job: Job, panels: Panelling) -> Iterator[Check]:
    table, tape = panels.table, job.tape
    edge, field = size_text(tape, table.edge_nails), size_text(tape, table.field_nails)
    good = table.edge_nails <= 6 * INCH and table.field_nails <= 12 * INCH
    yield Check(
        "pass" if good else "warn",
        "wall nail spacing",
        f"{_TABLE}, note c",
        f"Nails {edge} along edges and {field} in between" + ("." if good else ": at most 6 in and 12 in."),
    )
    bite = table.nail.length - panels.thickness
    deep = bite >= _BITE
    yield Check(
        "pass" if deep else "warn",
        "wall nail",
        _TABLE,
        f"{table.nail.material}, {size_text(tape, table.nail.length)} long, goes "
        f"{size_text(tape, max(bite, 0))} into the stud"
        + ("; galvanised, shank 0.113 in." if deep else "; 1-1/2 in is the least."),
    )


def _opening_checks(skins: Sequence[Skin]) -> Iterator[Check]:
    doors = [hole.label for skin in skins for hole in skin.openings if hole.x == 0]
    if doors:
        yield Check(
            "note",
            "floor's edge below a door",
            _PRACTICE,
            f"{', '.join(doors)}: the skin is cut away down to its foot; cover the floor's edge with the "
            "threshold or a strip.",
        )
    if any(skin.openings for skin in skins):
        yield Check(
            "note",
            "openings in wall panels",
            _PRACTICE,
            "Panels are cut out of or pieced round an opening, whichever buys less: measure the framed "
            "opening before you cut it out.",
        )
