/* Answers without type tags, from the bytes on the wire to the model: the entry's letters say what
 * the arguments are.
 */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "osc_check.h"
#include "profiles.h"
#include "router.h"
#include "unfold.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- messages ---- */

struct wire {
    uint8_t bytes[4096];
    size_t length;
};

static void
put_bytes(struct wire *wire, const void *bytes, size_t length)
{
    assert_true(wire->length + length + 4 <= sizeof wire->bytes);
    memcpy(wire->bytes + wire->length, bytes, length);
    wire->length += length;
    while (wire->length % 4 != 0)
        wire->bytes[wire->length++] = 0;
}

static void
put_string(struct wire *wire, const char *string)
{
    put_bytes(wire, string, strlen(string) + 1);
}

static void
put_int(struct wire *wire, uint32_t word)
{
    const uint8_t bytes[4] = {(uint8_t)(word >> 24), (uint8_t)(word >> 16), (uint8_t)(word >> 8),
                              (uint8_t)word};

    put_bytes(wire, bytes, sizeof bytes);
}

static void
put_float(struct wire *wire, float number)
{
    uint32_t word;

    memcpy(&word, &number, sizeof word);
    put_int(wire, word);
}

static void
put_blob(struct wire *wire, const void *bytes, size_t length)
{
    put_int(wire, (uint32_t)length);
    put_bytes(wire, bytes, length);
}

static void
put_double(struct wire *wire, double number)
{
    uint64_t word;

    memcpy(&word, &number, sizeof word);
    put_int(wire, (uint32_t)(word >> 32));
    put_int(wire, (uint32_t)word);
}

static size_t
from_hex(const char *hex, uint8_t *bytes)
{
    size_t length = strlen(hex) / 2;

    for (size_t i = 0; i < length; i++) {
        const char digits[3] = {hex[2 * i], hex[2 * i + 1], '\0'};

        bytes[i] = (uint8_t)strtoul(digits, NULL, 16);
    }
    return length;
}

/* Begins a message; types NULL: it has no type-tag string. */
static struct wire *
begin(const char *address, const char *types)
{
    static struct wire wire;
    char tags[100];

    wire.length = 0;
    put_string(&wire, address);
    if (types) {
        snprintf(tags, sizeof tags, ",%s", types);
        put_string(&wire, tags);
    }
    return &wire;
}

/* ---- the desk ---- */

struct fixture {
    struct loaded loaded;
    struct engine *engine;
    struct router *router;
    int answers;
    size_t place; /* of the last answer */
};

static int
make(void **state)
{
    *state = calloc(1, sizeof(struct fixture));
    return *state ? 0 : -1;
}

static int
drop(void **state)
{
    struct fixture *fixture = *state;

    router_free(fixture->router);
    engine_free(fixture->engine);
    loaded_release(&fixture->loaded);
    free(fixture);
    return 0;
}

static void
note_answer(void *context, size_t entry, size_t place)
{
    struct fixture *fixture = context;

    (void)entry;
    fixture->answers++;
    fixture->place = place;
}

static struct fixture *
start(void **state, const char *values)
{
    struct fixture *fixture = *state;
    const struct profile *profile;

    loaded_read(&fixture->loaded, profile_with(values, ""));
    for (size_t i = 0; i < fixture->loaded.problems.count; i++)
        print_error("%s\n", fixture->loaded.problems.lines[i]);
    profile = fixture->loaded.profile;
    assert_non_null(profile);
    fixture->engine = engine_new(profile_desk(profile), show_new(profile->counts.of[INDEX_INPUT],
                                                                 profile->counts.of[INDEX_MIX]));
    assert_non_null(fixture->engine);
    fixture->router = router_new(profile, fixture->engine, note_answer, fixture);
    assert_non_null(fixture->router);
    return fixture;
}

/* As a datagram goes: in a block of its own size, through the guard with the profile's forms. */
static enum route_result
take(struct fixture *fixture, const struct wire *wire)
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
    assert_int_equal(fixture->answers, result == ROUTE_TAKEN || result == ROUTE_BAD_VALUE);
    free(bytes);
    free(message);
    return result;
}

static double
number(const struct fixture *fixture, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(engine_desk(fixture->engine), id, row, column);

    assert_int_equal(value->state, VALUE_KNOWN);
    return value->number;
}

static size_t
known(const struct fixture *fixture)
{
    return (size_t)desk_count_state(engine_desk(fixture->engine), VALUE_KNOWN);
}

/* ---- without type tags ---- */

static const char untyped_entries[] =
    "{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"untyped\": \"f\"},"
    "{\"at\": \"/i/{input}\", \"is\": \"input.trim\", \"untyped\": \"i\"},"
    "{\"at\": \"/h/{input}\", \"is\": \"input.high_pass.freq\", \"untyped\": \"h\"},"
    "{\"at\": \"/d/{input}\", \"is\": \"input.preamp_gain\", \"untyped\": \"d\"},"
    "{\"at\": \"/n/{input}\", \"is\": \"input.name\", \"untyped\": \"s\"},"
    "{\"at\": \"/t/{input}\", \"is\": \"input.mute\"},"
    "{\"answer\": [\"/r\", \"{mix}\", {\"is\": \"mix.graphic.band.gain\", \"each\": \"band\"}],"
    " \"untyped\": \"if\"},"
    "{\"answer\": [\"/s\", {\"is\": \"mix.name\", \"each\": \"mix\"}], \"untyped\": \"s\"},"
    "{\"answer\": [\"/b/{input}\", {\"blob\": \"int16be\", \"is\": \"input.eq.band.gain\","
    " \"each\": \"band\"}], \"untyped\": \"b\"},"
    "{\"answer\": [\"/l\", {\"text\": \" \", \"fields\": [\"{input}\", {\"is\": "
    "\"input.level\"}]}],"
    " \"untyped\": \"s\"},"
    "{\"answer\": [\"/lr\", {\"text\": \" \", \"fields\": [\"{mix}\", {\"is\": \"mix.fader\"}]},"
    " {\"is\": \"mix.eq.band.gain\", \"each\": \"band\"}], \"untyped\": \"sf\"}";

static void
untyped_arguments_are_read_by_the_letters(void **state)
{
    struct fixture *fixture = start(state, untyped_entries);
    struct wire *wire = begin("/f/1", NULL);

    put_float(wire, -3.5F);
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_near(number(fixture, PARAM_INPUT_FADER, 0, 0), -3.5, 0);
    wire = begin("/i/1", NULL);
    put_int(wire, (uint32_t)-6);
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_near(number(fixture, PARAM_INPUT_TRIM, 0, 0), -6, 0);
    wire = begin("/h/1", NULL);
    put_int(wire, 0);
    put_int(wire, 120);
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_near(number(fixture, PARAM_INPUT_HIGH_PASS_FREQ, 0, 0), 120, 0);
    wire = begin("/d/1", NULL);
    put_double(wire, 27.25);
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_near(number(fixture, PARAM_INPUT_PREAMP_GAIN, 0, 0), 27.25, 0);
    wire = begin("/n/1", NULL);
    put_string(wire, "Bass");
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_string_equal(desk_text(engine_desk(fixture->engine), PARAM_INPUT_NAME, 0, 0), "Bass");
    wire = begin("/f/1", NULL);
    put_int(wire, 0x7fc00000); /* NaN */
    assert_int_equal(take(fixture, wire), ROUTE_BAD_VALUE);
}

/* The tags are believed where they are sent. */
static void
tags_go_before_the_letters(void **state)
{
    struct fixture *fixture = start(state, untyped_entries);
    struct wire *wire = begin("/f/1", "i");

    put_int(wire, (uint32_t)-7);
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_near(number(fixture, PARAM_INPUT_FADER, 0, 0), -7, 0);
    wire = begin("/n/2", "s");
    put_string(wire, "Kick");
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_int_equal(take(fixture, begin("/f/1", "")), ROUTE_OTHER_ARGUMENTS);
}

static void
entries_without_letters_want_tags(void **state)
{
    struct fixture *fixture = start(state, untyped_entries);
    struct wire *wire = begin("/t/1", NULL);

    put_int(wire, 1);
    assert_int_equal(take(fixture, wire), ROUTE_NO_TYPES);
    assert_int_equal(take(fixture, begin("/t/1", NULL)), ROUTE_NO_TYPES);
    assert_int_equal(take(fixture, begin("/unknown", NULL)), ROUTE_UNKNOWN_ADDRESS);
    wire = begin("/t/1", "i");
    put_int(wire, 1);
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
}

static void
untyped_bytes_of_other_sizes_are_no_answers(void **state)
{
    static const struct {
        const char *address, *hex;
    } rows[] = {
        {"/f/1", ""},
        {"/f/1", "0000000000000000"},
        {"/i/1", ""},
        {"/i/1", "0000000000000000"},
        {"/h/1", "00000000"},
        {"/h/1", "000000000000000000000000"},
        {"/d/1", "00000000"},
        {"/n/1", ""},
        {"/n/1", "61626364"}, /* never ended */
        {"/n/1", "61006100"}, /* padded with a letter */
        {"/n/1", "6162636400000000"
                 "62000000"}, /* two strings */
        {"/r", "00000001"},   /* a run of none */
        {"/r", ""},
        {"/b/1", ""},
        {"/b/1", "00000008"
                 "00010002"}, /* shorter than it says */
        {"/b/1", "00000002"
                 "00010002"
                 "00030004"},
        {"/b/1", "ffffffff"
                 "00010002"},
        {"/l", "31203020"},  /* never ended */
        {"/lr", "31203000"}, /* a run of none */
    };
    struct fixture *fixture = start(state, untyped_entries);

    for (size_t i = 0; i < COUNT(rows); i++) {
        struct wire *wire = begin(rows[i].address, NULL);
        uint8_t bytes[64];
        char what[80];

        snprintf(what, sizeof what, "%s %s", rows[i].address, rows[i].hex);
        put_bytes(wire, bytes, from_hex(rows[i].hex, bytes));
        assert_row(what, take(fixture, wire), ROUTE_NO_TYPES);
    }
    assert_int_equal(known(fixture), 0);
}

/* Two numbers where the letters tell of one: no answer, though the router would refuse it later
 * too. */
static void
one_letter_stands_for_one_argument(void **state)
{
    struct fixture *fixture = start(state, untyped_entries);
    struct osc_message *message = malloc(sizeof *message);
    struct unfolded *unfolded = malloc(sizeof *unfolded);
    struct wire *wire = begin("/f/1", NULL);

    assert_non_null(message);
    assert_non_null(unfolded);
    put_float(wire, 1);
    assert_true(osc_decode(message, wire->bytes, wire->length));
    assert_non_null(unfold(&fixture->loaded.profile->entries[0], message, unfolded));
    put_float(wire, 2);
    assert_true(osc_decode(message, wire->bytes, wire->length));
    assert_null(unfold(&fixture->loaded.profile->entries[0], message, unfolded));
    free(unfolded);
    free(message);
}

static void
last_letter_stands_for_a_run(void **state)
{
    static const struct {
        const char *name;
        int count;
        enum route_result result;
    } rows[] = {
        {"31", 31, ROUTE_TAKEN},
        {"1", 1, ROUTE_BAD_VALUE},
        {"30", 30, ROUTE_BAD_VALUE},
        {"32", 32, ROUTE_BAD_VALUE},
        {"the most", OSC_ARGUMENTS - 1, ROUTE_BAD_VALUE},
        {"one more", OSC_ARGUMENTS, ROUTE_NO_TYPES},
    };
    struct fixture *fixture = start(state, untyped_entries);
    struct wire *wire;

    for (size_t i = 0; i < COUNT(rows); i++) {
        wire = begin("/r", NULL);
        put_int(wire, 8);
        for (int k = 0; k < rows[i].count; k++)
            put_float(wire, (float)k / 4);
        assert_row(rows[i].name, take(fixture, wire), rows[i].result);
    }
    assert_near(number(fixture, PARAM_MIX_GRAPHIC_BAND_GAIN, 7, 30), 7.5, 0);
    wire = begin("/s", NULL);
    for (int k = 0; k < 8; k++)
        put_string(wire, k % 2 == 0 ? "Wedge" : "Ear");
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_string_equal(desk_text(engine_desk(fixture->engine), PARAM_MIX_NAME, 7, 0), "Ear");
}

static void
untyped_blobs_and_lines_are_taken_apart(void **state)
{
    struct fixture *fixture = start(state, untyped_entries);
    struct wire *wire = begin("/b/24", NULL);

    put_blob(wire, "\0\1\0\2\0\3\377\374", 8);
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_near(number(fixture, PARAM_INPUT_EQ_BAND_GAIN, 23, 3), -4, 0);
    wire = begin("/l", NULL);
    put_string(wire, "12 -1");
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_near(number(fixture, PARAM_INPUT_LEVEL, 11, 0), -1, 0);
    wire = begin("/lr", NULL); /* a line, then a run of plain numbers */
    put_string(wire, "2 -5");
    for (int k = 0; k < 4; k++)
        put_float(wire, (float)k);
    assert_int_equal(take(fixture, wire), ROUTE_TAKEN);
    assert_near(number(fixture, PARAM_MIX_FADER, 1, 0), -5, 0);
    assert_near(number(fixture, PARAM_MIX_EQ_BAND_GAIN, 1, 3), 3, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make, drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(untyped_arguments_are_read_by_the_letters),
        TEST(tags_go_before_the_letters),
        TEST(entries_without_letters_want_tags),
        TEST(untyped_bytes_of_other_sizes_are_no_answers),
        TEST(one_letter_stands_for_one_argument),
        TEST(last_letter_stands_for_a_run),
        TEST(untyped_blobs_and_lines_are_taken_apart),
    };

    return cmocka_run_group_tests_name("unfold_untyped", tests, NULL, NULL);
}
