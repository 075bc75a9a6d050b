# SPDX-License-Identifier: MIT
"""What the room is doing, by the clock, against Python's zoneinfo (PEP 615), in zones on both sides of the world and
around both changes of daylight saving. A time that the change leaves out is the first behind it; one
that comes twice is its first.
"""
import datetime
import functools
import os
import pathlib
import random
import subprocess
import time
import zoneinfo

BUILD = pathlib.Path(os.environ["GAINWARDEN_BUILD"])
ZONES = ["Europe/Lisbon", "Europe/Berlin", "America/New_York", "America/St_Johns", "Australia/Lord_Howe",
         "Pacific/Chatham", "Asia/Kathmandu", "Asia/Tokyo", "Africa/Casablanca", "Africa/Cairo",
         "America/Havana", "UTC"]
UTC = datetime.timezone.utc
BEGIN, END = 1767225600, 1830297600  # 2026 and 2027


@functools.lru_cache(None)
def time_of(zone, day, minute):
    """The first moment at which a clock there shows this time or, where it never does, a later one."""
    tz = zoneinfo.ZoneInfo(zone)
    wanted = datetime.datetime(day.year, day.month, day.day, minute // 60, minute % 60)
    moment = int((wanted - datetime.timedelta(hours=16)).replace(tzinfo=UTC).timestamp()) // 60 * 60
    while datetime.datetime.fromtimestamp(moment, tz).replace(tzinfo=None) < wanted:
        moment += 60
    return moment


def expected(zone, now, rows):
    """The next change and its room; since when which room holds. Of several at once the last counts."""
    today = datetime.datetime.fromtimestamp(now, zoneinfo.ZoneInfo(zone)).date()
    around = [today + datetime.timedelta(days=ahead) for ahead in (-1, 0, 1, 2)]
    times = []
    for room, (minute, day) in enumerate(rows):
        if day is None:
            times += [(time_of(zone, one, minute), room) for one in around]
        elif now - time_of(zone, day, minute) < 86400:
            times.append((time_of(zone, day, minute), room))
    following = min((at for at, _ in times if at > now), default=0)
    last = max((at for at, _ in times if at <= now), default=0)
    return (following, max((room for at, room in times if at == following), default=0),
            last, max((room for at, room in times if at == last), default=0))


def ask(questions):
    text = "".join(f"{zone} {now} {len(rows)} " +
                   " ".join(f"{minute} {day:%Y%m%d}" if day else f"{minute} 0" for minute, day in rows) + "\n"
                   for zone, now, rows in questions)
    done = subprocess.run([BUILD / "tests" / "timetable_probe"], input=text, text=True, capture_output=True,
                          timeout=60, check=True)
    return [tuple(map(int, line.split())) for line in done.stdout.splitlines()]


def check(questions):
    for question, answer in zip(questions, ask(questions), strict=True):
        assert answer == expected(*question), question


def test_random_moments_and_tables():
    """Some daily, some on one day, which may be months ahead or long over."""
    seed = int(os.environ.get("GW_SEED", time.time_ns()))
    print("GW_SEED", seed)
    dice = random.Random(seed)
    questions = []
    for _ in range(600):
        now = dice.randrange(BEGIN, END)
        near = datetime.datetime.fromtimestamp(now, UTC).date()
        rows = [(dice.randrange(1440),
                 near + datetime.timedelta(days=dice.choice([-40, -2, -1, 0, 1, 2, 3, 7, 200]))
                 if dice.random() < 0.5 else None) for _ in range(dice.randint(1, 4))]
        questions.append((dice.choice(ZONES), now, rows))
    check(questions)


@functools.lru_cache(None)
def changes(zone):
    """The moments of 2026 and 2027 at which the zone's offset changes."""
    tz = zoneinfo.ZoneInfo(zone)
    found = []
    before = None
    for moment in range(BEGIN, END, 1800):
        offset = datetime.datetime.fromtimestamp(moment, tz).utcoffset()
        if before is not None and offset != before:
            found.append(moment)
        before = offset
    return found


def test_around_every_change_of_daylight_saving():
    questions = []
    for zone in ZONES:
        for change in changes(zone):
            local = datetime.datetime.fromtimestamp(change, zoneinfo.ZoneInfo(zone))
            middle = local.hour * 60 + local.minute
            questions += [(zone, change + shift, [((middle + around) % 1440, None)])
                          for shift in (-50000, -3600, -1, 0, 1, 1800, 3600, 50000)
                          for around in (-121, -90, -60, -30, -1, 0, 1, 30, 59, 60, 90)]
    assert len(questions) > 1000
    check(questions)


def test_no_day_is_passed_over_near_midnight():
    """Days of 23 and 25 hours, looked at from just before and just behind the midnights around them."""
    questions = []
    for zone in ZONES:
        tz = zoneinfo.ZoneInfo(zone)
        for change in changes(zone):
            day = datetime.datetime.fromtimestamp(change, tz).date()
            for ahead in (-1, 0, 1, 2):
                midnight = time_of(zone, day + datetime.timedelta(days=ahead), 0)
                questions += [(zone, midnight + shift, [(minute, None)])
                              for shift in (-3599, -1800, -1, 0, 1, 1800, 3599) for minute in (5, 720, 1435)]
    assert len(questions) > 1000
    check(questions)


def test_a_day_far_ahead_is_waited_for():
    day = datetime.date(2026, 11, 28)
    now = int(datetime.datetime(2026, 11, 1, tzinfo=UTC).timestamp())
    ((at, room, since, _),) = ask([("Europe/Lisbon", now, [(17 * 60 + 30, day)])])

    assert (at, room, since) == (int(datetime.datetime(2026, 11, 28, 17, 30, tzinfo=UTC).timestamp()), 0, 0)
