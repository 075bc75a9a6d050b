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

/* Eight mixes, each with a spectrum in such a blob. */
static void
begin_as(struct end *end, const char *blob)
{
    char text[8192], entry[256];
    const char *sound, *at;
    struct spectrum_bands bands;

    snprintf(entry, sizeof entry,
             "{\"answer\": [\"/mix/{mix}/spectrum\", {\"each\": \"band\","
             " \"is\": \"mix.spectrum.band.level\", \"blob\": %s}]}",
             blob);
    sound = profile_with(entry, "");
    at = strstr(sound, "\"input\": 24");
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

/* Of 250 steps to a dB. */
static void
begin(struct end *end)
{
    begin_as(end, "\"int16be\", \"law\": {\"times\": 0.004}");
}

static void
finish(struct end *end)
{
    router_free(end->router);
    engine_free(end->engine);
    loaded_release(&end->loaded);
}

static enum route_result
take_blob(struct end *end, const char *address, const uint8_t *blob, size_t size, int64_t now_ms)
{
    uint8_t *bytes;
    struct wire *wire = wire_begin(address, "b");
    struct osc_message *message = malloc(sizeof *message);
    enum route_result result;

    assert_non_null(message);
    wire_put_blob(wire, blob, size);
    bytes = malloc(wire->length); /* a block of its own size */
    assert_non_null(bytes);
    memcpy(bytes, wire->bytes, wire->length);
    assert_true(osc_decode(message, bytes, wire->length));
    result = router_take(end->router, message, now_ms);
    free(bytes);
    free(message);
    return result;
}

static enum route_result
take(struct end *end, const char *address, const double *levels, size_t count, int64_t now_ms)
{
    uint8_t blob[2 * 2 * BANDS];

    for (size_t i = 0; i < count; i++) {
        uint16_t number = (uint16_t)(int16_t)lround(levels[i] * 250);

        blob[2 * i] = (uint8_t)(number >> 8);
        blob[2 * i + 1] = (uint8_t)number;
    }
    return take_blob(end, address, blob, 2 * count, now_ms);
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

/* All bands at -60, but for one number. */
static enum route_result
take_with(struct end *end, float number)
{
    uint8_t blob[4 * BANDS];

    for (int i = 0; i < BANDS; i++) {
        float value = i == AT ? number : -60;
        uint32_t word;

        memcpy(&word, &value, sizeof word);
        for (int byte = 0; byte < 4; byte++)
            blob[4 * i + byte] = (uint8_t)(word >> (24 - 8 * byte));
    }
    return take_blob(end, "/mix/3/spectrum", blob, sizeof blob, 1000);
}

/* Whatever law it has: a frame with one level that can be none is no frame. */
static void
one_bad_level_spoils_a_frame(void **state)
{
    static const struct {
        const char *law;
        float number;
        enum route_result result;
    } rows[] = {
        {"", -200, ROUTE_TAKEN},
        {"", 30, ROUTE_TAKEN},
        {"", -200.1F, ROUTE_BAD_VALUE},
        {"", 30.1F, ROUTE_BAD_VALUE},
        {"", NAN, ROUTE_BAD_VALUE},
        {"", INFINITY, ROUTE_BAD_VALUE},
        {"", -INFINITY, ROUTE_BAD_VALUE},
        {", \"law\": {\"times\": -0.5}", 400, ROUTE_TAKEN},
        {", \"law\": {\"times\": -0.5}", 401, ROUTE_BAD_VALUE},
        {", \"law\": {\"times\": -0.5}", -61, ROUTE_BAD_VALUE},
        {", \"law\": {\"times\": 1e12}", 3e38F, ROUTE_BAD_VALUE},
        {", \"law\": {\"line\": [[-100, -100], [0, 0]]}", -100, ROUTE_TAKEN},
        {", \"law\": {\"line\": [[-100, -100], [0, 0]]}", 1, ROUTE_BAD_VALUE},
        {", \"law\": {\"words\": [[-60, -60], [-1, -100]]}", -1, ROUTE_TAKEN},
        {", \"law\": {\"words\": [[-60, -60], [-1, -100]]}", -2, ROUTE_BAD_VALUE},
        {", \"range\": [-90, 0]", -90.05F, ROUTE_TAKEN}, /* a thousandth is forgiven */
        {", \"range\": [-90, 0]", -90.1F, ROUTE_BAD_VALUE},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char blob[120], name[160];
        struct end end;

        snprintf(blob, sizeof blob, "\"float32be\"%s", rows[i].law);
        snprintf(name, sizeof name, "%s with %g", blob, (double)rows[i].number);
        begin_as(&end, blob);
        assert_row(name, take_with(&end, rows[i].number), rows[i].result);
        finish(&end);
    }
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
        cmocka_unit_test(one_bad_level_spoils_a_frame),
        cmocka_unit_test(a_rise_is_seen),
    };

    return cmocka_run_group_tests_name("router_spectrum", tests, NULL, NULL);
}
