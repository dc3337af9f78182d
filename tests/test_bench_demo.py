"""The demo shop's past forecasts: worth showing, because its notes and its shop.md tell of the same shop."""

from demo_shop import TODAY, analysis

from purfle.bench.score import past


def test_its_forecasts_tell_more_than_the_base_rate():
    """Who says of every stage nothing but how many of them come, p, has a Brier score of p × (1 − p): Murphy 1973."""
    demo = analysis()
    said = past(demo.shop, demo.moves, demo.events, demo.progress, TODAY)
    came = sum(one.came for one in said) / len(said)
    assert len(said) > 100 and sum((one.chance - one.came) ** 2 for one in said) / len(said) < came * (1 - came)


def test_it_works_the_hours_it_says():
    past = analysis().past
    assert 0.85 < past.noted / past.given < 1.15
