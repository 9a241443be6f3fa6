"""The command that walks through the sample scenario and leaves nothing behind."""

from partcheck.cli.app import Answer, app


@app.command(short_help="Walk through the sample scenario, leaving nothing behind.")
def demo() -> Answer:
    """Walk through the sample scenario in a temporary place: an out-of-stock part, its stand-in, the board."""
    import shutil

    from partcheck.cli.walk import walk
    from partcheck.scratch import scratch
    from partcheck.shipped import folder

    with scratch() as place:
        samples = place / "samples"
        shutil.copytree(folder("catalog_samples"), samples)
        return Answer(walk(samples))
