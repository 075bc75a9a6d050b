/* SPDX-License-Identifier: MIT */
/* What a profile says of the desk besides its messages: "link", "pace", "filters", "counts" and
 * "first".
 */
#include <stdio.h>
#include <string.h>

#include "profile/loader.h"
#include "profile/schema_parts.h"

/* ---- link ---- */

/* What UDP and TCP have of their own; whatever the transport is, the other's is refused. */
enum { TURN_UDP = FIELD_TURNS, TURN_TCP, TURN_BOTH };

static const struct field_words transport_words = {
    .list = (const char *const[]){"udp", "tcp", NULL}, .first = TRANSPORT_UDP, .quoted = true};
static const struct field_words framing_words = {.list =
                                                     (const char *const[]){"size", "slip", NULL},
                                                 .first = TRANSPORT_TCP_SIZE,
                                                 .quoted = true};
static const struct field_words from_words = {
    .list = (const char *const[]){"same-port", "any-port", NULL}, .quoted = true};

static const struct field link_keys[] = {
    {"transport", FIELD_WORD, NULL, FIELD_AT(struct profile_link, transport), .need = FIELD_MUST,
     .words = &transport_words},
    {"framing", FIELD_WORD,
     "size: an int32 with the size stands before each packet; slip: SLIP with END at both ends",
     FIELD_AT(struct profile_link, transport), .need = FIELD_MUST, .turn = TURN_TCP,
     .words = &framing_words},
    {"port", FIELD_WHOLE, "where the desk listens", FIELD_AT(struct profile_link, port),
     .need = FIELD_MUST, .least = 1, .most = 65535},
    {"answers_from", FIELD_CHOICE, "any-port: answers may come from any port of the desk's address",
     FIELD_AT(struct profile_link, any_port), .turn = TURN_UDP, .words = &from_words,
     .preset = FIELD_PRESET(0)},
    {"answer_port", FIELD_WHOLE, "our own port, for a desk that always answers to a fixed one",
     FIELD_AT(struct profile_link, answer_port), .turn = TURN_UDP, .least = 1, .most = 65535},
    {"type_tags", FIELD_SWITCH, "false: questions are sent without a type-tag string",
     FIELD_AT(struct profile_link, untagged), .turn = TURN_BOTH, .preset = FIELD_PRESET(1)},
    {0},
};

static const struct fields link_fields = {.rows = link_keys};

static void
refuse_turn(int turn, const char *why, const struct json *json, const struct where *where)
{
    for (const struct field *row = link_keys; row->key; row++) {
        struct where here = where_key(where, row->key);

        if (row->turn == turn && json_get(json, row->key))
            where_problem(&here, "%s", why);
    }
}

void
profile_take_link(const struct field_given *given)
{
    struct profile_link *link = field_place(given);
    const struct json *json = given->json;
    const struct where *where = given->where;

    if (!fields_check_keys(&link_fields, json, where))
        return;
    fields_read_turn(&link_fields, 0, json, where, link, NULL);
    if (link->transport == TRANSPORT_UDP) {
        refuse_turn(TURN_TCP, "is for \"tcp\" alone", json, where);
        fields_read_turn(&link_fields, TURN_UDP, json, where, link, NULL);
    } else {
        fields_read_turn(&link_fields, TURN_TCP, json, where, link, NULL);
        refuse_turn(TURN_UDP, "is for \"udp\" alone", json, where);
    }
    fields_read_turn(&link_fields, TURN_BOTH, json, where, link, NULL);
}

static struct json *
udp_schema(const struct field *field)
{
    (void)field;
    return schema_word("udp", "datagrams");
}

static struct json *
tcp_schema(const struct field *field)
{
    (void)field;
    return schema_word("tcp", "a stream");
}

/* The keys of one transport: all but the other's. */
static struct json *
transport_schema(const char *help, int other, struct json *(*schema)(const struct field *field))
{
    struct field rows[sizeof link_keys / sizeof *link_keys] = {{0}};
    struct fields fields = {.help = help, .rows = rows};
    size_t count = 0;

    for (const struct field *row = link_keys; row->key; row++)
        if (row->turn != other)
            rows[count++] = *row;
    rows[0].schema = schema;
    return schema_of_fields(&fields);
}

struct json *
profile_link_schema(const struct field *field)
{
    struct json *list = json_new_array();
    struct json *schema = schema_of("oneOf", list);

    schema_describe(schema, field->help);
    json_add(list, NULL, transport_schema("UDP", TURN_TCP, udp_schema));
    json_add(list, NULL, transport_schema("TCP", TURN_UDP, tcp_schema));
    return schema;
}

/* ---- pace ---- */

enum { REREAD_S = 60, STALE_READINGS = 3 };

static void
check_stale(const struct field_given *given)
{
    struct pace *pace = given->into;

    if (!json_get(given->json, "stale_after_s"))
        pace->stale_after_s = STALE_READINGS * pace->reread_every_s;
    if (pace->stale_after_s <= pace->reread_every_s)
        where_problem(given->where,
                      "stale_after_s must be longer than reread_every_s (%g s), or every value "
                      "would go stale between two readings",
                      pace->reread_every_s);
}

static const struct field pace_keys[] = {
    {"in_flight", FIELD_WHOLE, "questions under way at a time, at most",
     FIELD_AT(struct pace, in_flight), .loose = true, .least = 1, .most = 4096,
     .preset = FIELD_PRESET(64)},
    {"per_second", FIELD_ABOVE, "questions a second, at most", FIELD_AT(struct pace, per_second),
     .loose = true, .most = 1000000, .preset = FIELD_PRESET(4000)},
    {"answer_within_ms", FIELD_WHOLE, "a question is put again after this time",
     FIELD_AT(struct pace, answer_within_ms), .loose = true, .least = 1, .most = 10000,
     .preset = FIELD_PRESET(300)},
    {"tries", FIELD_WHOLE, "how often a question is put, at most", FIELD_AT(struct pace, tries),
     .loose = true, .least = 1, .most = 20, .preset = FIELD_PRESET(20)},
    {"reread_every_s", FIELD_ABOVE, "in the watch: how often the whole desk is read again",
     FIELD_AT(struct pace, reread_every_s), .loose = true, .most = 3600,
     .preset = FIELD_PRESET(REREAD_S)},
    {"stale_after_s", FIELD_ABOVE,
     "an older value is stale; longer than reread_every_s, and three times as long when it is not "
     "given",
     FIELD_AT(struct pace, stale_after_s), .loose = true, .most = 86400,
     .preset = FIELD_PRESET(STALE_READINGS * REREAD_S)},
    {"stale", FIELD_RULE, NULL, .take = check_stale},
    {0},
};

const struct fields profile_pace_fields = {.help = "how fast the desk is asked", .rows = pace_keys};

/* ---- filters ---- */

static void
take_rate(const struct field_given *given)
{
    double *rate_hz = field_place(given);

    if (json_take_above(given->json, given->where, given->field->most, rate_hz) &&
        *rate_hz < given->field->least)
        where_problem(given->where, "is %g; desks run at %g Hz or more", *rate_hz,
                      given->field->least);
}

static const struct field_words width_words = {
    .list = (const char *const[]){"q", "octaves", NULL},
    .look = "allowed are \"q\" and \"octaves\" (between the half-gain points)"};

static const struct field_words limiter_words = {
    .list = (const char *const[]){"before-master", "after-master", NULL},
    .first = LIMITER_BEFORE_MASTER,
    .quoted = true};

static const struct field filter_keys[] = {
    {"rate_hz", FIELD_NUMBER, "the desk's sample rate", FIELD_AT(struct desk_filters, rate_hz),
     .loose = true, .turn = 1, .least = 32000, .most = 400000, .preset = FIELD_PRESET(48000),
     .take = take_rate},
    {"width", FIELD_CHOICE, "what a band's q is: a Q, or octaves between the half-gain points",
     FIELD_AT(struct desk_filters, width_in_octaves), .then = 2, .words = &width_words,
     .preset = FIELD_PRESET(0)},
    {"graphic_octaves", FIELD_ABOVE,
     "width of one graphic band between its half-gain points; without it as wide as the bands "
     "stand "
     "apart",
     FIELD_AT(struct desk_filters, graphic_octaves), .loose = true, .then = 2, .most = 4},
    {"limiter", FIELD_WORD,
     "where a mix's limiter sits; before-master: a raised master makes what it lets through louder",
     FIELD_AT(struct desk_filters, limiter), .then = 2, .words = &limiter_words},
    {0},
};

const struct fields profile_filter_fields = {
    .help = "how the desk's equalisers and limiters compute", .rows = filter_keys};

/* ---- counts and first ---- */

static const char *
count_name_at(const void *context, size_t i)
{
    (void)context;
    return index_name((enum index_kind)(i + 1));
}

/* At most so many of a kind. */
static int
count_most(int kind)
{
    return kind < INDEX_INPUT_EQ_BAND ? COUNT_LIMIT : BAND_LIMIT;
}

/* {"input": 24, ...} into one number per index kind. */
static void
read_indexed(const struct json *json, const struct where *where, int least, int most,
             int numbers[INDEX_KINDS])
{
    char nearest[100];

    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_key(where, json_key(item));
        int kind = INDEX_INPUT;

        while (kind < INDEX_KINDS && strcmp(index_name((enum index_kind)kind), json_key(item)) != 0)
            kind++;
        if (kind == INDEX_KINDS)
            where_problem(
                &here, "unknown index%s",
                where_nearest(json_key(item), count_name_at, NULL, INDEX_KINDS - 1, nearest));
        else
            json_take_whole(item, &here, least, most < count_most(kind) ? most : count_most(kind),
                            &numbers[kind]);
    }
}

void
profile_take_counts(const struct field_given *given)
{
    struct desk_counts *counts = field_place(given);
    const struct where *where = given->where;
    size_t before = where->problems->count;

    read_indexed(given->json, where, 0, COUNT_LIMIT, counts->of);
    for (int kind = INDEX_INPUT; kind <= INDEX_MIX; kind++) {
        struct where here = where_key(where, index_name((enum index_kind)kind));

        if (where->problems->count == before && counts->of[kind] == 0)
            where_problem(&here, "is missing or 0; a desk has at least one");
    }
}

void
profile_take_first(const struct field_given *given)
{
    struct loader *loader = given->context;

    read_indexed(given->json, given->where, 0, 1, loader->first);
}

struct json *
profile_counts_schema(const struct field *field)
{
    struct schema_keys keys = schema_keys(field->help);

    for (int kind = INDEX_INPUT; kind < INDEX_KINDS; kind++) {
        const char *name = index_name((enum index_kind)kind);
        bool must = kind <= INDEX_MIX;
        char help[80];

        snprintf(help, sizeof help, "how many there are; {%s} stands for each",
                 index_placeholder((enum index_kind)kind));
        (must ? schema_must : schema_may)(&keys, name, schema_whole(must, count_most(kind), help));
    }
    return keys.schema;
}

struct json *
profile_first_schema(const struct field *field)
{
    struct schema_keys keys = schema_keys(field->help);

    for (int kind = INDEX_INPUT; kind < INDEX_KINDS; kind++)
        schema_may(&keys, index_name((enum index_kind)kind),
                   schema_preset(schema_whole(0, 1, NULL), 1));
    return keys.schema;
}
