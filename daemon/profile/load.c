/* SPDX-License-Identifier: MIT */
/* Reads a profile into a new object. Every problem is collected; with one or more, nothing is
 * loaded.
 */
#include "profile/loader.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/fingerprint.h"
#include "core/need.h"
#include "profile/read_only.h"
#include "sound/path.h"
#include "spectrum/rise.h"

_Static_assert(2 * BAND_LIMIT <= FILTERS_MOST, "a mix has a graphic and a parametric equaliser");

/* ---- renew ---- */

static void
take_send(const struct field_given *given)
{
    struct renewal *renewal = given->into;
    struct entry none = {0};
    struct reading reading = {
        .loader = given->context, .entry = &none, .question = true, .renewal = true};

    loader_read_pattern(&reading, &renewal->send, given->where);
    if (none.variable_count > 0)
        where_problem(given->where, "a renewal may not hold an index");
}

static const struct field renewal_fields[] = {
    {"send", FIELD_LIST, NULL, .need = FIELD_MUST, .take = take_send, .defined = "renewal"},
    {"every_s", FIELD_NUMBER, "how often it is sent", FIELD_AT(struct renewal, every_s),
     .need = FIELD_MUST, .least = RENEWAL_LEAST_S, .most = 3600},
    {"this_only_asks", FIELD_SWITCH,
     "true: it carries more than an address, or reaches one that answers, and is no move on this "
     "desk",
     FIELD_AT(struct renewal, this_only_asks)},
    {0},
};

static void
take_renewals(const struct field_given *given)
{
    struct profile *profile = given->into;
    size_t count = (size_t)json_size(given->where->json);

    profile->renewals = need_memory(count, sizeof *profile->renewals);
    for (struct where one = where_first(given->where); one.json; where_next(&one))
        fields_read(renewal_fields, &one, &profile->renewals[profile->renewal_count++],
                    given->context);
}

/* ---- laws and what is fixed ---- */

static void
take_laws(const struct field_given *given)
{
    struct loader *loader = given->context;

    loader->laws = need_memory((size_t)json_size(given->where->json), sizeof *loader->laws);
    for (struct where one = where_first(given->where); one.json; where_next(&one))
        law_read(&loader->laws[loader->law_count++], one.key, &one);
}

static bool
is_valued(const struct profile *profile, enum param_id id)
{
    for (size_t i = 0; i < profile->entry_count; i++)
        for (size_t j = 0; j < profile->entries[i].answer.count; j++)
            if (profile->entries[i].answer.elements[j].kind == ELEMENT_VALUE &&
                profile->entries[i].answer.elements[j].param == id)
                return true;
    return false;
}

static double
fixed_number(const struct where *where, enum param_id id)
{
    int word = where_text(where) ? param_word(id, where_text(where)) : -1;

    if (where_is(where, JSON_BOOL))
        return params[id].unit == UNIT_SWITCH ? json_bool(where->json) : NAN;
    return word >= 0 ? word : where_level(where);
}

static void
take_fixed(const struct field_given *given)
{
    struct profile *profile = given->into;

    profile->fixed = need_memory((size_t)json_size(given->where->json), sizeof *profile->fixed);
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        enum param_id id = profile_param(&one);
        double number;

        if (id == PARAMS)
            continue;
        if (param_is_of_spectrum(id))
            where_problem(&one, "is another in a moment; it cannot be fixed");
        else if (is_valued(profile, id))
            where_problem(&one, "is also read from the desk; it cannot be fixed besides");
        number = fixed_number(&one, id);
        if (params[id].unit == UNIT_TEXT || !param_accepts(id, number))
            where_problem(&one, "is no value of %s, which is %s", params[id].name,
                          unit_name(params[id].unit));
        else
            profile->fixed[profile->fixed_count++] = (struct fixed){id, number};
    }
}

static struct json *
fixed_schema(const struct field *field)
{
    struct schema_keys keys = schema_keys(field->help);

    for (enum param_id i = 0; i < PARAMS; i++)
        if (params[i].unit != UNIT_TEXT && !param_is_of_spectrum(i))
            schema_may(&keys, params[i].name,
                       schema_describe(schema_param_values(i, false), params[i].help));
    return keys.schema;
}

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

static const struct field link_fields[] = {
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

static void
refuse_turn(int turn, const char *why, const struct where *where)
{
    for (const struct field *row = link_fields; row->key; row++) {
        struct where here = where_key(where, row->key);

        if (row->turn == turn && here.json)
            where_problem(&here, "%s", why);
    }
}

static void
take_link(const struct field_given *given)
{
    struct profile_link *link = field_place(given);
    const struct where *where = given->where;

    if (!fields_check_keys(link_fields, where))
        return;
    fields_read_turn(link_fields, 0, where, link, NULL);
    if (link->transport == TRANSPORT_UDP) {
        refuse_turn(TURN_TCP, "is for \"tcp\" alone", where);
        fields_read_turn(link_fields, TURN_UDP, where, link, NULL);
    } else {
        fields_read_turn(link_fields, TURN_TCP, where, link, NULL);
        refuse_turn(TURN_UDP, "is for \"udp\" alone", where);
    }
    fields_read_turn(link_fields, TURN_BOTH, where, link, NULL);
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
    struct field rows[sizeof link_fields / sizeof *link_fields] = {{0}};
    size_t count = 0;

    for (const struct field *row = link_fields; row->key; row++)
        if (row->turn != other)
            rows[count++] = *row;
    rows[0].schema = schema;
    rows[count].help = help;
    return schema_of_fields(rows);
}

static struct json *
link_schema(const struct field *field)
{
    return schema_describe(
        schema_of("oneOf", json_list(transport_schema("UDP", TURN_TCP, udp_schema),
                                     transport_schema("TCP", TURN_UDP, tcp_schema))),
        field->help);
}

/* ---- pace ---- */

enum { REREAD_S = 60, STALE_READINGS = 3 };

static void
check_stale(const struct field_given *given)
{
    struct pace *pace = given->into;

    if (!json_get(given->where->json, "stale_after_s"))
        pace->stale_after_s = STALE_READINGS * pace->reread_every_s;
    if (pace->stale_after_s <= pace->reread_every_s)
        where_problem(given->where,
                      "stale_after_s must be longer than reread_every_s (%g s), or every value "
                      "would go stale between two readings",
                      pace->reread_every_s);
}

static const struct field pace_fields[] = {
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
    {"reread_every_s", FIELD_ABOVE,
     "in the watch: how often the whole desk is read again, as far as 3 % of the pace allow it",
     FIELD_AT(struct pace, reread_every_s), .loose = true, .most = 3600,
     .preset = FIELD_PRESET(REREAD_S)},
    {"stale_after_s", FIELD_ABOVE,
     "an older value is stale; longer than reread_every_s, and three times as long when it is not "
     "given",
     FIELD_AT(struct pace, stale_after_s), .loose = true, .most = 86400,
     .preset = FIELD_PRESET(STALE_READINGS * REREAD_S)},
    {"lost_after_s", FIELD_ABOVE,
     "a desk that is never asked is lost when nothing was heard of it for so long; three times the "
     "longest every_s of renew when it is not given and values come after renewals",
     FIELD_AT(struct pace, lost_after_s), .loose = true, .most = 3600},
    {"stale", FIELD_RULE, NULL, .take = check_stale},
    {.help = "how fast the desk is asked"},
};

/* ---- filters ---- */

static void
take_rate(const struct field_given *given)
{
    double *rate_hz = field_place(given);

    if (where_take_above(given->where, given->field->most, rate_hz) &&
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

static const struct field filter_fields[] = {
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
    {.help = "how the desk's equalisers and limiters compute"},
};

/* ---- spectrum ---- */

static const struct field spectrum_fields[] = {
    {"per_second", FIELD_NUMBER, "frames a second", FIELD_AT(struct profile_spectrum, per_second),
     .least = RISE_RATE_LEAST, .most = RISE_RATE_MOST, .preset = FIELD_PRESET(20)},
    {"lowest_hz", FIELD_NUMBER,
     "centre of the first band; 31 thirds of an octave need not be described",
     FIELD_AT(struct profile_spectrum, lowest_hz), .least = 1, .most = 1000},
    {"highest_hz", FIELD_NUMBER,
     "centre of the last; the others stand evenly between them, in octaves",
     FIELD_AT(struct profile_spectrum, highest_hz), .least = 1000, .most = 48000},
    {.help = "how the spectra of mixes are made"},
};

/* A rise is judged in thirds, so there must be thirds or finer. */
static void
settle_spectrum(struct profile *profile, const struct where *file)
{
    struct profile_spectrum *spectrum = &profile->spectrum;
    struct spectrum_bands bands = {profile->counts.of[INDEX_MIX_SPECTRUM_BAND], spectrum->lowest_hz,
                                   spectrum->highest_hz};
    struct where where = where_key(file, "spectrum");
    bool lowest = bands.lowest_hz > 0, highest = bands.highest_hz > 0;

    if (bands.count == 0)
        return;
    if (lowest != highest)
        where_problem(&where, "gives lowest_hz or highest_hz alone; both say where the bands are");
    else if (!lowest && !spectrum_bands_of_thirds(bands.count, &bands))
        where_problem(&where,
                      "must give lowest_hz and highest_hz: nobody knows where %d bands stand, 31 "
                      "would be thirds of an octave from 20 Hz",
                      bands.count);
    else if (bands.count < 2 || !spectrum_is_fine(&bands))
        where_problem(&where, "has bands wider than a third of an octave, which tell no ring");
    spectrum->lowest_hz = bands.lowest_hz;
    spectrum->highest_hz = bands.highest_hz;
}

/* ---- the whole ---- */

/* The kinds of all first; then what values rest on, the values, and what they leave. */
const struct field profile_fields[] = {
    {"$schema", FIELD_TEXT, "where an editor finds the schema of this file", .turn = 2},
    FIELD_FILE_FORMAT("profile_format", 1),
    {"desk", FIELD_TEXT, "what you call the desk", FIELD_AT(struct profile, desk),
     .need = FIELD_MUST, .turn = 1},
    {"link", FIELD_OBJECT, "how the desk is reached", FIELD_AT(struct profile, link),
     .need = FIELD_MUST, .turn = 1, .then = 3, .take = take_link, .schema = link_schema},
    {"pace", FIELD_OBJECT, NULL, FIELD_AT(struct profile, pace), .turn = 1, .then = 3,
     .object = pace_fields},
    {"renew", FIELD_LIST, "messages the desk wants every so often to keep sending changes",
     .turn = 1, .then = 4, .object = renewal_fields, .take = take_renewals},
    {"counts", FIELD_BY_NAME, "how many the desk has of each", FIELD_AT(struct profile, counts),
     .need = FIELD_MUST, .turn = 1, .then = 3, .take = profile_take_counts,
     .schema = profile_counts_schema},
    {"first", FIELD_BY_NAME, "the number that the desk gives to the first of each", .turn = 1,
     .then = 3, .take = profile_take_first, .schema = profile_first_schema},
    {"names", FIELD_BY_NAME, "what the desk calls each, where it does not count them", .turn = 1,
     .then = 3, .take = profile_take_names, .schema = profile_names_schema},
    {"laws", FIELD_BY_NAME, "laws by a name of your own", .turn = 1, .then = 3, .take = take_laws,
     .holds = "law"},
    {"filters", FIELD_OBJECT, NULL, FIELD_AT(struct profile, filters), .turn = 1, .then = 3,
     .object = filter_fields},
    {"spectrum", FIELD_OBJECT, NULL, FIELD_AT(struct profile, spectrum), .turn = 1, .then = 3,
     .object = spectrum_fields},
    {"values", FIELD_LIST, "what can be asked of the desk", .need = FIELD_MUST, .turn = 1,
     .then = 4, .least = 1, .take = profile_take_entries, .holds = "entry"},
    {"fixed", FIELD_BY_NAME, "what the desk does not publish but you know", .turn = 1, .then = 4,
     .take = take_fixed, .schema = fixed_schema},
    {"allOf", FIELD_RULE, NULL, .schema = schema_profile_rules},
    {"definitions", FIELD_RULE, NULL, .schema = schema_profile_definitions},
    {.title = "gainwarden profile", .help = "how one desk speaks OSC"},
};

struct profile *
profile_from_json(const struct json *json, const char *path, struct problems *problems)
{
    struct where where = where_file(path, json, problems);
    size_t before = problems->count;
    struct loader loader = {.profile = need_memory(1, sizeof *loader.profile)};

    for (enum index_kind kind = 0; kind < INDEX_KINDS; kind++)
        loader.first[kind] = 1;
    loader.profile->counts.of[INDEX_NONE] = 1;
    fields_preset(profile_fields, loader.profile);
    if (where_check_kind(&where, "profile_format"))
        fields_read(profile_fields, &where, loader.profile, &loader);
    if (problems->count == before)
        settle_spectrum(loader.profile, &where);
    if (problems->count == before)
        read_only_check(loader.profile, &where);
    for (size_t i = 0; i < loader.law_count; i++)
        law_release(&loader.laws[i]);
    free(loader.laws);
    if (problems->count == before)
        return loader.profile;
    profile_free(loader.profile);
    return NULL;
}

static uint64_t
fingerprint_of(const struct json *json)
{
    char *text = json_print(json, false);
    uint64_t fingerprint = fingerprint_add(FINGERPRINT_BEGIN, text);

    free(text);
    return fingerprint;
}

/* The file, unless it cannot be read or is of another kind. */
static struct json *
read_file(const char *path, struct problems *problems)
{
    struct json *json = json_read(path, problems);
    struct where where = where_file(path, json, problems);

    if (!json || where_check_kind(&where, "profile_format"))
        return json;
    json_free(json);
    return NULL;
}

struct profile *
profile_load(const char *path, const char *show, struct problems *problems)
{
    size_t before = problems->count;
    struct json *json = read_file(path, problems);
    struct profile *profile;

    if (!json && show)
        problems_lead(problems, before, "%s: desk.profile: ", show);
    if (!json)
        return NULL;
    profile = profile_from_json(json, path, problems);
    if (profile) {
        profile->fingerprint = fingerprint_of(json);
        profile->json = json;
    } else {
        json_free(json);
    }
    return profile;
}
