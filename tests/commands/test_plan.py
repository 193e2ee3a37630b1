"""``partsbin plan``: proposes, explains, applies after review; what-if, van kits, counts."""

from __future__ import annotations

from pathlib import Path

from tests.commands.conftest import Run


def test_plan_proposes_and_changes_nothing_until_it_is_applied(stocked: Run, tmp_path: Path) -> None:
    run = stocked
    document = run("--json", "plan").json
    assert {row["part_number"] for row in document["proposals"]} == {"MTR-24-L", "MTR-24-R", "SPC-6-L", "COLA-24"}
    assert all(row["explanation"] for row in document["proposals"])
    run("export", "before")
    assert (tmp_path / "before" / "setpoints.csv").read_text().count("\n") == 1
    applied = run("--json", "plan", "--apply", "MTR-24-L").json
    assert applied["applied"] == 1
    run("export", "after")
    assert "MTR-24-L,SHELF" in (tmp_path / "after" / "setpoints.csv").read_text()
    assert run("check").code == 0


def test_a_wrong_target_and_an_unknown_part_or_van_are_refused(stocked: Run) -> None:
    assert "between 0 and 1" in stocked("plan", "--target", "95").err
    assert "Nearest: MTR" in stocked("plan", "MTR-99").err
    assert "did no job" in stocked("plan", "--van", "VAN1", "--budget", "100").err


def test_what_if_and_counts_answer_as_one_document(stocked: Run) -> None:
    points = stocked("--json", "plan", "--what-if").json
    assert [point["target"] for point in points] == sorted(point["target"] for point in points)
    counts = stocked("--json", "plan", "--counts").json
    assert [line["place"] for line in counts["lines"]] == ["A-01-01-1"]


def test_the_plan_is_written_as_pdf(stocked: Run, tmp_path: Path) -> None:
    assert stocked("plan", "--pdf", "p.pdf").code == 0
    assert (tmp_path / "p.pdf").read_bytes().startswith(b"%PDF")


def test_targets_are_changed_by_who_may_change_set_points(stocked: Run) -> None:
    stocked("people", "add", "TK", "Tom", "--role", "technician")
    refused = stocked("--operator", "TK", "plan", "--class-targets", "fast 50")
    assert refused.code == 1
    assert "may not change set points" in refused.err
    assert "fast 98" in stocked("plan", "--class-targets", "slow 90").out


def test_the_targets_of_the_classes_are_kept_and_planned_for(stocked: Run) -> None:
    kept = stocked("--json", "plan", "--class-targets", "other 97.5").json
    assert kept == {"fast": 0.98, "medium": 0.95, "slow": 0.9, "other": 0.975}
    assert stocked("--json", "plan").json["proposals"][0]["fill_target"] == 0.975
    assert stocked("plan", "--class-targets", "99 96 91 94").out.startswith("Targets: fast 99 · medium 96")
    for wrong in ("99 96", "quick 95", "fast 20", "fast 100", "fast much"):
        refused = stocked("plan", "--class-targets", wrong)
        assert refused.code == 1
        assert "such as" in refused.err
