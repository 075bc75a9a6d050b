/* SPDX-License-Identifier: MIT */
/* Microphones and loudspeakers of a stage plan, and the values that all its parts are made of. */
#include <stddef.h>

#include "base/schema.h"
#include "profile/profile.h"
#include "show/plan_parts.h"
#include "stage/vector.h"

/* Metres from where the plan counts, any way. */
enum { FAR_M = 1000 };

/* ---- single values ---- */

/* As its row says, into the number; then it is given. */
void
plan_take_stated(const struct field_given *given)
{
    struct stated *stated = field_place(given);
    struct field row = *given->field;
    size_t before = given->where->problems->count;

    row.take = NULL;
    row.at += offsetof(struct stated, number);
    field_read(&(struct field_given){&row, given->where, given->into, given->context});
    if (given->where->problems->count == before)
        stated->how = GIVEN;
}

/* Numbers of a list, `least` to `most` of them, each within the limits; how many, -1 with a problem. */
static int
take_numbers(const struct where *where, double *to, int most, struct travel within)
{
    int count = 0;

    for (struct where one = where_first(where); one.json; where_next(&one)) {
        double number = where_number(&one);

        if (count == most) {
            where_problem(where, "holds more than %d numbers", most);
            return -1;
        }
        if (!(number >= within.least && number <= within.most)) {
            where_problem(&one, "must be a number from %g to %g", within.least, within.most);
            return -1;
        }
        to[count++] = number;
    }
    return count;
}

bool
plan_take_point(const struct where *where, struct place *to)
{
    double xyz[3];
    int count = take_numbers(where, xyz, 3, (struct travel){-FAR_M, FAR_M});

    if (count >= 0 && count < 3)
        where_problem(where, "must be [x, y, z], in metres");
    if (count == 3)
        *to = (struct place){xyz[0], xyz[1], xyz[2]};
    return count == 3;
}

struct json *
plan_point_schema(const struct field *field)
{
    struct json *schema = schema_list(schema_number(-FAR_M, FAR_M, NULL), 3, field->help);

    json_add_number(schema, "maxItems", 3);
    return schema;
}

/* Inputs or mixes by number. */
static void
take_serves(const struct field_given *given)
{
    struct serves *serves = field_place(given);
    int number;

    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        if (serves->count == STAGE_SERVES) {
            where_problem(given->where, "holds more than %d numbers", STAGE_SERVES);
            return;
        }
        if (!where_take_whole(&one, 1, COUNT_LIMIT, &number))
            continue;
        if (serves_has(serves, number - 1))
            where_problem(&one, "stands there twice");
        else
            serves->of[serves->count++] = number - 1;
    }
    if (!json_size(given->where->json))
        where_problem(given->where, "is empty");
}

static struct json *
serves_schema(const struct field *field)
{
    struct json *schema = schema_list(schema_whole(1, COUNT_LIMIT, NULL), 1, field->help);

    json_add_number(schema, "maxItems", STAGE_SERVES);
    return schema;
}

/* From where it stands to a point that it faces. */
static bool
take_axis(const struct field_given *given, bool placed, struct place at, struct place *axis)
{
    struct place faces;

    if (!plan_take_point(given->where, &faces))
        return false;
    if (!placed) {
        where_problem(given->where, "means nothing without \"at\", where it stands");
        return false;
    }
    if (!(vector_length(vector_from(at, faces)) > 0.001)) {
        where_problem(given->where, "is where it stands itself");
        return false;
    }
    *axis = vector_unit(vector_from(at, faces));
    return true;
}

/* ---- microphones ---- */

static const char *
pattern_word(size_t i)
{
    return i < PATTERNS ? pattern_rows[i].name : NULL;
}

static const struct field_words pattern_words = {
    .word = pattern_word, .unknown = "unknown pattern", .nearest = true};

static void
take_pattern(const struct field_given *given)
{
    struct stage_microphone *microphone = given->into;
    int word = field_find_word(given->field->words, given->where);

    if (word < 0)
        return;
    microphone->pattern = (enum polar)word;
    microphone->pattern_how = GIVEN;
}

static void
take_microphone_at(const struct field_given *given)
{
    struct stage_microphone *microphone = given->into;

    microphone->placed = plan_take_point(given->where, &microphone->at);
}

static void
take_microphone_faces(const struct field_given *given)
{
    struct stage_microphone *microphone = given->into;

    if (take_axis(given, microphone->placed, microphone->at, &microphone->axis))
        microphone->axis_how = GIVEN;
}

const struct field plan_microphone_fields[] = {
    {"inputs", FIELD_LIST, "numbers of the inputs it feeds",
     FIELD_AT(struct stage_microphone, inputs), .need = FIELD_MUST, .take = take_serves,
     .schema = serves_schema},
    {"at", POINT, "where it stands: [x, y, z]", POINT_BY(take_microphone_at)},
    {"faces", POINT, "a point that it faces, as the mouth", .then = 1,
     POINT_BY(take_microphone_faces)},
    {"pattern", FIELD_WORD, "how it hears off its axis", .words = &pattern_words,
     .preset = FIELD_PRESET(PATTERN_CARDIOID), .take = take_pattern},
    {"floor_db", FIELD_NUMBER, "its null is no deeper than this",
     FIELD_AT(struct stage_microphone, floor_db), .least = -60, .most = 0,
     .preset = FIELD_PRESET(PATTERN_FLOOR_DB), .take = plan_take_stated},
    {"mv_per_pa", FIELD_NUMBER, "its sensitivity, as its data sheet has it",
     FIELD_AT(struct stage_microphone, sensitivity_mv_per_pa), .least = 0.01, .most = 1000,
     .take = plan_take_stated},
    {"mouth_metres", FIELD_NUMBER, "how far from it the mouth is",
     FIELD_AT(struct stage_microphone, mouth_m), .least = 0.005, .most = 10,
     .preset = FIELD_PRESET(0.05), .take = plan_take_stated},
    {"in_hand", FIELD_SWITCH, "a singer holds it; else it stands on a stand",
     FIELD_AT(struct stage_microphone, in_hand)},
    {.help = "one microphone"},
};

/* An input has one microphone. */
static void
refuse_twice(const struct stage *stage, const struct where *where)
{
    const struct stage_microphone *last = &stage->microphones[stage->microphone_count - 1];

    for (int i = 0; i < stage->microphone_count - 1; i++)
        for (int k = 0; k < last->inputs.count; k++)
            if (serves_has(&stage->microphones[i].inputs, last->inputs.of[k]))
                where_problem(where, "feeds input %d, as microphones[%d] does",
                              last->inputs.of[k] + 1, i);
}

void
plan_take_microphones(const struct field_given *given)
{
    struct stage *stage = given->into;

    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct stage_microphone *microphone = stage_add_microphone(stage);

        if (!microphone) {
            where_problem(given->where, "holds more than %d", STAGE_MICROPHONES);
            return;
        }
        fields_read(plan_microphone_fields, &one, microphone, NULL);
        refuse_twice(stage, &one);
    }
}

/* ---- loudspeakers ---- */

static void
take_degrees(const struct field_given *given)
{
    struct beam_row *row = given->into;
    int count = take_numbers(given->where, row->degrees, BEAM_ANGLES, (struct travel){0, 180});

    row->count = count > 0 ? count : 0;
    for (int i = 1; i < row->count; i++)
        if (row->degrees[i] <= row->degrees[i - 1])
            where_problem(given->where, "must rise");
}

static void
take_losses(const struct field_given *given)
{
    struct beam_row *row = given->into;
    int count = take_numbers(given->where, row->db, BEAM_ANGLES, (struct travel){-60, 20});

    if (count >= 0 && (count != row->count || count == 0))
        where_problem(given->where, "must hold one number for each of \"degrees\"");
}

static struct json *
degrees_schema(const struct field *field)
{
    return schema_list(schema_number(0, 180, NULL), 1, field->help);
}

static struct json *
losses_schema(const struct field *field)
{
    return schema_list(schema_number(-60, 20, NULL), 1, field->help);
}

static const struct field beam_fields[] = {
    {"hz", FIELD_NUMBER, "at this frequency", FIELD_AT(struct beam_row, hz), .need = FIELD_MUST,
     .least = 10, .most = 24000},
    {"degrees", FIELD_LIST, "so far off its axis", .need = FIELD_MUST, .take = take_degrees,
     .schema = degrees_schema},
    {"db", FIELD_LIST, "it radiates so much, against the axis", .need = FIELD_MUST, .then = 1,
     .take = take_losses, .schema = losses_schema},
    {.help = "one frequency; between two the program goes in proportion"},
};

static void
take_beam(const struct field_given *given)
{
    struct stage_loudspeaker *loudspeaker = given->into;
    struct beam *beam = &loudspeaker->beam;

    *beam = (struct beam){0};
    loudspeaker->beam_how = GIVEN;
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        if (beam->count == BEAM_ROWS) {
            where_problem(given->where, "holds more than %d frequencies", BEAM_ROWS);
            return;
        }
        fields_read(beam_fields, &one, &beam->rows[beam->count], NULL);
        if (beam->count > 0 && beam->rows[beam->count].hz <= beam->rows[beam->count - 1].hz)
            where_problem(&one, "must lie above the frequency before it");
        beam->count++;
    }
    if (beam->count == 0)
        where_problem(given->where, "is empty");
}

static void
take_loudspeaker_at(const struct field_given *given)
{
    struct stage_loudspeaker *loudspeaker = given->into;

    loudspeaker->placed = plan_take_point(given->where, &loudspeaker->at);
}

static void
take_loudspeaker_faces(const struct field_given *given)
{
    struct stage_loudspeaker *loudspeaker = given->into;

    if (take_axis(given, loudspeaker->placed, loudspeaker->at, &loudspeaker->axis))
        loudspeaker->axis_how = GIVEN;
}

static void
need_mixes(const struct field_given *given)
{
    const struct stage_loudspeaker *loudspeaker = given->into;
    struct where mixes = where_key(given->where, "mixes");

    if (!mixes.json && !loudspeaker->house)
        where_problem(&mixes, "is missing; only one of the house has none");
}

const struct field plan_loudspeaker_fields[] = {
    {"mixes", FIELD_LIST, "numbers of the mixes it plays",
     FIELD_AT(struct stage_loudspeaker, mixes), .take = take_serves, .schema = serves_schema},
    {"house", FIELD_SWITCH, "it plays to the audience", FIELD_AT(struct stage_loudspeaker, house)},
    {"at", POINT, "where it stands: [x, y, z]", POINT_BY(take_loudspeaker_at)},
    {"faces", POINT, "a point that it faces; else the ears it is for", .then = 1,
     POINT_BY(take_loudspeaker_faces)},
    {"db_at_1_metre", FIELD_NUMBER, "its sensitivity: dB SPL at 1 m for 2.83 V",
     FIELD_AT(struct stage_loudspeaker, sensitivity_db), .least = 50, .most = 130,
     .take = plan_take_stated},
    {"amplifier_db", FIELD_NUMBER, "gain from the desk's output to its terminals",
     FIELD_AT(struct stage_loudspeaker, amplifier_db), .least = -60, .most = 80,
     .take = plan_take_stated},
    {"from_hz", FIELD_NUMBER, "where it is 3 dB down at the low end",
     FIELD_AT(struct stage_loudspeaker, from_hz), .least = 10, .most = 500,
     .take = plan_take_stated},
    {"off_axis", FIELD_LIST, "how it radiates off its axis", .object = beam_fields,
     .take = take_beam},
    {"mixes or house", FIELD_RULE, NULL, .turn = 2, .take = need_mixes},
    {.help = "one loudspeaker"},
};

void
plan_take_loudspeakers(const struct field_given *given)
{
    struct stage *stage = given->into;

    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct stage_loudspeaker *loudspeaker = stage_add_loudspeaker(stage);

        if (!loudspeaker) {
            where_problem(given->where, "holds more than %d", STAGE_LOUDSPEAKERS);
            return;
        }
        fields_read(plan_loudspeaker_fields, &one, loudspeaker, NULL);
    }
}
