"""The edge of each requirement of a rail: all on the board's side (numbers invented)."""

from tests.examples.roles import Example

ROLE = "rail"
PART = None
FACTS = {
    "rail_current": 1.8,
    "source_limit": 3.0,
    "board_low": 4.7,
    "board_high": 5.25,
    "surge": 13.9,
    "surge_limit": 120.0,
    "accepts_low": 4.5,
    "accepts_high": 5.5,
    "pushed_current": 0.01,
    "sunk_current": 0.02,
    "lasting_current": 2.0,
    "fuse_limit": 3.0,
}
EXAMPLES = {
    "supply-current": Example("fact:rail_current", 2.699, 2.701, "fact:rail_current"),
    "fuse-holds": Example("fact:lasting_current", 2.99, 3.01, "fact:lasting_current"),
    "back-feed": Example("fact:pushed_current", 0.0199, 0.0201, "fact:pushed_current"),
    "feed-surge": Example("fact:surge", 119.9, 120.1, "fact:surge"),
    "logic-supply": Example("fact:board_low", 4.501, 4.499, "fact:board_low"),
}
