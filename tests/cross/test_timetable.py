"""Show states by the clock against Python's zoneinfo (PEP 615), in zones on both sides of the world and
around both changes of daylight saving. A time that the change leaves out is the first behind it; one
that comes twice is its first.
"""
import datetime
import os
import pathlib
import random
import subprocess
import zoneinfo

BUILD = pathlib.Path(os.environ["GAINWARDEN_BUILD"])
ZONES = ["Europe/Lisbon", "Europe/Berlin", "America/New_York", "America/St_Johns", "Australia/Lord_Howe",
         "Pacific/Chatham", "Asia/Kathmandu", "Asia/Tokyo", "Africa/Casablanca", "UTC"]
UTC = datetime.timezone.utc


def time_of(zone, day, minute):
    """The first moment at which a clock there shows this time or, where it never does, a later one."""
    tz = zoneinfo.ZoneInfo(zone)
    wanted = datetime.datetime(day.year, day.month, day.day, minute // 60, minute % 60)
    moment = int((wanted - datetime.timedelta(hours=16)).replace(tzinfo=UTC).timestamp()) // 60 * 60
    while datetime.datetime.fromtimestamp(moment, tz).replace(tzinfo=None) < wanted:
        moment += 60
    return moment


def expected(zone, now, minute):
    today = datetime.datetime.fromtimestamp(now, zoneinfo.ZoneInfo(zone)).date()
    times = [time_of(zone, today + datetime.timedelta(days=ahead), minute) for ahead in (-1, 0, 1, 2)]
    return min(at for at in times if at > now), any(now - 86400 < at <= now for at in times)


def ask(questions):
    text = "".join(f"{zone} {now} {minute} 0\n" for zone, now, minute in questions)
    done = subprocess.run([BUILD / "tests" / "timetable_probe"], input=text, text=True, capture_output=True,
                          timeout=60, check=True)
    return [tuple(map(int, line.split())) for line in done.stdout.splitlines()]


def check(questions):
    for question, (at, holds) in zip(questions, ask(questions), strict=True):
        assert (at, bool(holds)) == expected(*question), question


def test_random_moments():
    seed = random.SystemRandom().randrange(1 << 32)
    print(f"seed {seed}")
    dice = random.Random(seed)
    check([(dice.choice(ZONES), dice.randrange(1767225600, 1893456000), dice.randrange(1440))
           for _ in range(400)])


def changes(zone):
    """The moments of 2026 and 2027 at which the zone's offset changes."""
    tz = zoneinfo.ZoneInfo(zone)
    moment = 1767225600
    before = None
    while moment < 1830297600:
        offset = datetime.datetime.fromtimestamp(moment, tz).utcoffset()
        if before is not None and offset != before:
            yield moment
        before = offset
        moment += 1800


def test_around_every_change_of_daylight_saving():
    questions = []
    for zone in ZONES:
        for change in changes(zone):
            local = datetime.datetime.fromtimestamp(change, zoneinfo.ZoneInfo(zone))
            middle = local.hour * 60 + local.minute
            questions += [(zone, change + shift, (middle + around) % 1440)
                          for shift in (-50000, -3600, -1, 0, 1, 1800, 3600, 50000)
                          for around in (-121, -90, -60, -30, -1, 0, 1, 30, 59, 60, 90)]
    assert len(questions) > 1000
    check(questions)
