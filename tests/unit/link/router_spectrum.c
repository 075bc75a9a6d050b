/* SPDX-License-Identifier: MIT */
/* Spectra from the bytes on the wire to a finding: whole frames, which no desk model keeps. */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "change/suspects.h"
#include "wire_rig.h"

enum { BANDS = 31, AT = 12, RATE = 20, FRAMES = 7 * RATE };

static void
nobody_waits(void *context, size_t entry, size_t place)
{
    (void)context;
    (void)entry;
    (void)place;
}

struct end {
    struct loaded loaded;
    struct engine *engine;
    struct router *router;
};

/* Eight mixes, each with a spectrum of 250 steps to a dB. */
static void
begin(struct end *end)
{
    char text[8192];
    const char *sound = profile_with(
        "{\"answer\": [\"/mix/{mix}/spectrum\", {\"blob\": \"int16be\", \"each\": \"band\","
        " \"is\": \"mix.spectrum.band.level\", \"law\": {\"times\": 0.004}}]}",
        "");
    const char *at = strstr(sound, "\"input\": 24");
    struct spectrum_bands bands;

    snprintf(text, sizeof text, "%.*s\"mix.spectrum.band\": %d, %s", (int)(at - sound), sound,
             BANDS, at);
    loaded_sound(&end->loaded, text);
    end->engine = engine_new(profile_desk(end->loaded.profile),
                             check_set_show(check_set_all, 24, 8), check_set_all);
    end->router = router_new(end->loaded.profile, end->engine, nobody_waits, NULL);
    assert_true(spectrum_bands_of_thirds(BANDS, &bands));
    engine_remember(end->engine);
    engine_watch_spectra(end->engine, &bands, end->loaded.profile->spectrum.per_second);
}

static void
finish(struct end *end)
{
    router_free(end->router);
    engine_free(end->engine);
    loaded_release(&end->loaded);
}

static enum route_result
take(struct end *end, const char *address, const double *levels, size_t count, int64_t now_ms)
{
    uint8_t blob[2 * 2 * BANDS], *bytes;
    struct wire *wire = wire_begin(address, "b");
    struct osc_message *message = malloc(sizeof *message);
    enum route_result result;

    assert_non_null(message);
    for (size_t i = 0; i < count; i++) {
        uint16_t number = (uint16_t)(int16_t)lround(levels[i] * 250);

        blob[2 * i] = (uint8_t)(number >> 8);
        blob[2 * i + 1] = (uint8_t)number;
    }
    wire_put_blob(wire, blob, 2 * count);
    bytes = malloc(wire->length); /* a block of its own size */
    assert_non_null(bytes);
    memcpy(bytes, wire->bytes, wire->length);
    assert_true(osc_decode(message, bytes, wire->length));
    result = router_take(end->router, message, now_ms);
    free(bytes);
    free(message);
    return result;
}

static void
a_frame_is_whole_and_moves_nothing(void **state)
{
    double levels[2 * BANDS];
    struct end end;

    (void)state;
    begin(&end);
    for (int i = 0; i < 2 * BANDS; i++)
        levels[i] = -60;
    assert_int_equal(take(&end, "/mix/3/spectrum", levels, BANDS, 1000), ROUTE_TAKEN);
    assert_false(router_moved(end.router));
    assert_int_equal(take(&end, "/mix/3/spectrum", levels, BANDS - 1, 1050), ROUTE_BAD_VALUE);
    assert_int_equal(take(&end, "/mix/3/spectrum", levels, BANDS + 1, 1100), ROUTE_BAD_VALUE);
    assert_int_equal(take(&end, "/mix/9/spectrum", levels, BANDS, 1150), ROUTE_UNKNOWN_ADDRESS);
    levels[BANDS - 1] = 31; /* above what a meter may say */
    assert_int_equal(take(&end, "/mix/3/spectrum", levels, BANDS, 1200), ROUTE_BAD_VALUE);
    assert_int_equal(desk_count_state(engine_desk(end.engine), VALUE_KNOWN), 0);
    assert_int_equal(desk_count_state(engine_desk(end.engine), VALUE_UNKNOWN), 0);
    finish(&end);
}

static void
a_rise_is_seen(void **state)
{
    struct end end;

    (void)state;
    begin(&end);
    for (int frame = 0; frame < FRAMES; frame++) {
        double levels[BANDS];

        for (int i = 0; i < BANDS; i++)
            levels[i] = -70;
        levels[AT] = fmax(-70, -70 + 20 * (frame / (double)RATE - 4));
        assert_int_equal(take(&end, "/mix/3/spectrum", levels, BANDS, frame * 1000 / RATE),
                         ROUTE_TAKEN);
    }
    for (int mix = 0; mix < 8; mix++)
        assert_row("mix", suspects_of(engine_suspects(end.engine), mix)->stands, mix == 2);
    assert_int_equal(suspects_of(engine_suspects(end.engine), 2)->risen.third, AT);
    finish(&end);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_frame_is_whole_and_moves_nothing),
        cmocka_unit_test(a_rise_is_seen),
    };

    return cmocka_run_group_tests_name("router_spectrum", tests, NULL, NULL);
}
