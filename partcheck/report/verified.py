"""Whether the catalog is sound, as text."""

from typing import TYPE_CHECKING

from partcheck.report.lines import heading, listing, wrap

if TYPE_CHECKING:
    from partcheck.catalog.verifying import Verified


def text(answer: "Verified", where: str) -> str:
    """The whole answer."""
    if not answer.findings:
        return "\n".join(
            wrap(
                f"sound: {answer.parts} parts and {answer.changes} recorded changes in {where}; the database, every "
                "reference, every value and every history were looked at"
            )
        )
    number = len(answer.findings)
    lines = heading("1 thing is not as it should be" if number == 1 else f"{number} things are not as they should be")
    lines += wrap(f"In {where}; nothing was changed.")
    for check in dict.fromkeys(finding.check for finding in answer.findings):
        told = [f"{finding.where}: {finding.told}" for finding in answer.findings if finding.check == check]
        lines += ["", check.capitalize(), *listing(told)]
    return "\n".join(lines)
