/* SPDX-License-Identifier: MIT */
/* What a ring-out hears in spectra: from where a show would not, each third by itself, and until when. */
#include "unit.h"

#include <math.h>

#include "spectrum/heard.h"

enum { RATE = 20, PERIOD_MS = 1000 / RATE, ONE = 12, OTHER = 20 };

struct room {
    struct rise *rise;
    struct heard_thirds heard;
    double levels[SPECTRUM_THIRDS];
    int64_t now_ms;
    bool told; /* by the setting of a show */
};

static void
frame(struct room *room)
{
    struct risen risen;

    room->now_ms += PERIOD_MS;
    room->told |= rise_take(room->rise, room->levels, room->now_ms, &risen);
    heard_take(&room->heard, room->rise, room->now_ms);
}

/* Nothing sounds for so many seconds. */
static void
be_quiet(struct room *room, int seconds)
{
    for (int i = 0; i < SPECTRUM_THIRDS; i++)
        room->levels[i] = -110;
    for (int i = 0; i < seconds * RATE; i++)
        frame(room);
}

static void
enter(struct room *room)
{
    struct spectrum_bands bands;

    assert_true(spectrum_bands_of_thirds(SPECTRUM_THIRDS, &bands));
    *room = (struct room){.rise = rise_new(&bands, RATE)};
    be_quiet(room, 4);
}

/* A third rises by 20 dB/s. */
static void
grow(struct room *room, int third, double to_db)
{
    while (room->levels[third] < to_db) {
        room->levels[third] = fmin(room->levels[third] + 20.0 / RATE, to_db);
        frame(room);
    }
}

static void
a_quiet_ring_is_heard_and_not_told(void **state)
{
    static const struct {
        double to_db;
        bool heard, told;
    } rows[] = {{-82, false, false}, {-70, true, false}, {-52, true, false}, {-45, true, true}};

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct room room;

        enter(&room);
        grow(&room, ONE, rows[i].to_db);
        assert_row("heard", room.heard.of[ONE].hz > 0, rows[i].heard);
        assert_row("told", room.told, rows[i].told);
        if (rows[i].heard)
            assert_near(room.heard.of[ONE].hz, 316.2, 0.1);
        rise_free(room.rise);
    }
}

/* Another that rises behind it does not stand in its way. */
static void
each_third_is_heard_by_itself(void **state)
{
    struct room room;

    (void)state;
    enter(&room);
    grow(&room, ONE, -40);
    be_quiet(&room, 1);
    grow(&room, OTHER, -30);
    assert_near(room.heard.of[ONE].hz, 316.2, 0.1);
    assert_near(room.heard.of[OTHER].hz, 1995.3, 0.1);
    assert_true(room.heard.of[ONE].at_ms < room.heard.of[OTHER].at_ms - 1000);
    rise_free(room.rise);
}

/* As long as it is not 6 dB down, however long that is. */
static void
it_stands_until_it_has_fallen(void **state)
{
    struct room room;
    int64_t fell_ms;

    (void)state;
    enter(&room);
    grow(&room, ONE, -20);
    for (int i = 0; i < 30 * RATE; i++)
        frame(&room);
    assert_int_equal(room.heard.of[ONE].at_ms, room.now_ms);
    room.levels[ONE] = -25;
    frame(&room);
    assert_int_equal(room.heard.of[ONE].at_ms, room.now_ms);
    fell_ms = room.now_ms;
    room.levels[ONE] = -27;
    frame(&room);
    assert_int_equal(room.heard.of[ONE].at_ms, fell_ms);
    assert_near(room.heard.of[ONE].level_db, -20, 1e-6);
    rise_free(room.rise);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_quiet_ring_is_heard_and_not_told),
        cmocka_unit_test(each_third_is_heard_by_itself),
        cmocka_unit_test(it_stands_until_it_has_fallen),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
