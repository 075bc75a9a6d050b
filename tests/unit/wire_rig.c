/* SPDX-License-Identifier: MIT */
#include "wire_rig.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "osc/check.h"
#include "unit.h"

/* ---- messages ---- */

void
wire_put_bytes(struct wire *wire, const void *bytes, size_t length)
{
    assert_true(wire->length + length + 4 <= sizeof wire->bytes);
    memcpy(wire->bytes + wire->length, bytes, length);
    wire->length += length;
    while (wire->length % 4 != 0)
        wire->bytes[wire->length++] = 0;
}

void
wire_put_string(struct wire *wire, const char *string)
{
    wire_put_bytes(wire, string, strlen(string) + 1);
}

void
wire_put_int(struct wire *wire, uint32_t word)
{
    const uint8_t bytes[4] = {(uint8_t)(word >> 24), (uint8_t)(word >> 16), (uint8_t)(word >> 8),
                              (uint8_t)word};

    wire_put_bytes(wire, bytes, sizeof bytes);
}

void
wire_put_float(struct wire *wire, float number)
{
    uint32_t word;

    memcpy(&word, &number, sizeof word);
    wire_put_int(wire, word);
}

void
wire_put_blob(struct wire *wire, const void *bytes, size_t length)
{
    wire_put_int(wire, (uint32_t)length);
    wire_put_bytes(wire, bytes, length);
}

void
wire_put_double(struct wire *wire, double number)
{
    uint64_t word;

    memcpy(&word, &number, sizeof word);
    wire_put_int(wire, (uint32_t)(word >> 32));
    wire_put_int(wire, (uint32_t)word);
}

size_t
wire_from_hex(const char *hex, uint8_t *bytes, size_t size)
{
    size_t length = strlen(hex) / 2;

    assert_true(length <= size);
    for (size_t i = 0; i < length; i++) {
        const char digits[3] = {hex[2 * i], hex[2 * i + 1], '\0'};

        bytes[i] = (uint8_t)strtoul(digits, NULL, 16);
    }
    return length;
}

/* Begins a message; types NULL: it has no type-tag string. */
struct wire *
wire_begin(const char *address, const char *types)
{
    static struct wire wire;
    char tags[100];

    wire.length = 0;
    wire_put_string(&wire, address);
    if (types) {
        snprintf(tags, sizeof tags, ",%s", types);
        wire_put_string(&wire, tags);
    }
    return &wire;
}

/* ---- the desk ---- */

int
wire_rig_make(void **state)
{
    *state = calloc(1, sizeof(struct wire_rig));
    return *state ? 0 : -1;
}

int
wire_rig_drop(void **state)
{
    struct wire_rig *fixture = *state;

    router_free(fixture->router);
    engine_free(fixture->engine);
    loaded_release(&fixture->loaded);
    free(fixture);
    return 0;
}

static void
note_answer(void *context, size_t entry, size_t place)
{
    struct wire_rig *fixture = context;

    fixture->answers++;
    fixture->entry = entry;
    fixture->place = place;
}

struct wire_rig *
wire_rig_start(void **state, const char *values)
{
    return wire_rig_start_with(state, values, "");
}

struct wire_rig *
wire_rig_start_with(void **state, const char *values, const char *more)
{
    struct wire_rig *fixture = *state;
    const struct profile *profile;

    loaded_sound(&fixture->loaded, profile_with(values, more));
    profile = fixture->loaded.profile;
    fixture->engine = engine_new(profile_desk(profile),
                                 check_set_show(check_set_all, profile->counts.of[INDEX_INPUT],
                                                profile->counts.of[INDEX_MIX]),
                                 check_set_all);
    assert_non_null(fixture->engine);
    fixture->router = router_new(profile, fixture->engine, note_answer, fixture);
    assert_non_null(fixture->router);
    return fixture;
}

/* One message is one answer, but where values rove. */
static bool
may_bring_many(const struct profile *profile)
{
    for (size_t i = 0; i < profile->entry_count; i++)
        if (profile->entries[i].roves)
            return true;
    return false;
}

/* As a datagram goes: in a block of its own size, through the guard with the profile's forms. */
enum route_result
wire_rig_take(struct wire_rig *fixture, const struct wire *wire)
{
    struct osc_message *message = malloc(sizeof *message);
    uint8_t *bytes = malloc(wire->length);
    enum route_result result;

    assert_non_null(message);
    assert_non_null(bytes);
    memcpy(bytes, wire->bytes, wire->length);
    assert_int_equal(osc_check_message(bytes, wire->length, fixture->loaded.profile->forms),
                     OSC_OK);
    assert_true(osc_decode(message, bytes, wire->length));
    fixture->answers = 0;
    result = router_take(fixture->router, message, 1000);
    if (may_bring_many(fixture->loaded.profile))
        assert_int_equal(fixture->answers > 0, result == ROUTE_TAKEN || result == ROUTE_BAD_VALUE);
    else
        assert_int_equal(fixture->answers, result == ROUTE_TAKEN || result == ROUTE_BAD_VALUE);
    free(bytes);
    free(message);
    return result;
}

double
wire_rig_number(const struct wire_rig *fixture, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(engine_desk(fixture->engine), id, row, column);

    assert_int_equal(value->state, VALUE_KNOWN);
    return value_last_heard(value);
}

size_t
wire_rig_known(const struct wire_rig *fixture)
{
    return (size_t)desk_count_state(engine_desk(fixture->engine), VALUE_KNOWN);
}
