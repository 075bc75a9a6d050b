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

_Static_assert(2 * BAND_LIMIT <= FILTERS_MOST, "a mix has a graphic and a parametric equaliser");

bool
read_whole(const struct json *json, const struct where *where, int least, int most, int *number)
{
    double value = json_kind(json) == JSON_NUMBER ? json_number(json) : NAN;

    if (!(value >= least && value <= most) || value != floor(value)) {
        where_problem(where, "must be a whole number from %d to %d", least, most);
        return false;
    }
    *number = (int)value;
    return true;
}

bool
read_positive(const struct json *json, const struct where *where, double most, double *number)
{
    double value = json_kind(json) == JSON_NUMBER ? json_number(json) : NAN;

    if (!(value > 0 && value <= most)) {
        where_problem(where, "must be a number above 0, at most %g", most);
        return false;
    }
    *number = value;
    return true;
}

static const char *
count_name_at(const void *context, size_t i)
{
    (void)context;
    return index_name((enum index_kind)(i + 1));
}

/* One of a few words; the first of them when the key is not there. */
static int
read_choice(const struct json *json, const struct where *where, const char *key,
            const char *const words[], bool required)
{
    const struct json *value = json_need(json, where, key, JSON_STRING, required);
    struct where here = where_key(where, key);
    char allowed[100] = "";

    for (int i = 0; value && words[i]; i++) {
        if (strcmp(json_string(value), words[i]) == 0)
            return i;
        snprintf(allowed + strlen(allowed), sizeof allowed - strlen(allowed), "%s\"%s\"",
                 i > 0 ? " and " : "", words[i]);
    }
    if (value)
        where_problem(&here, "is \"%s\"; allowed are %s", json_string(value), allowed);
    return 0;
}

static void
refuse_key(const struct json *json, const struct where *where, const char *key, const char *why)
{
    struct where here = where_key(where, key);

    if (json_get(json, key))
        where_problem(&here, "%s", why);
}

static void
read_port(const struct json *json, const struct where *where, const char *key, bool required,
          int *port)
{
    const struct json *value = json_need(json, where, key, JSON_NUMBER, required);
    struct where here = where_key(where, key);

    if (value)
        read_whole(value, &here, 1, 65535, port);
}

static void
read_link(struct profile_link *link, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"transport",   "framing",   "port", "answers_from",
                                       "answer_port", "type_tags", NULL};
    static const char *const transports[] = {"udp", "tcp", NULL};
    static const char *const framings[] = {"size", "slip", NULL};
    static const char *const ports[] = {"same-port", "any-port", NULL};
    const struct json *tags;
    bool tcp;

    if (!json_check_keys(json, where, keys))
        return;
    tcp = read_choice(json, where, "transport", transports, true) == 1;
    read_port(json, where, "port", true, &link->port);
    if (tcp) {
        link->transport = read_choice(json, where, "framing", framings, true) == 0
                              ? TRANSPORT_TCP_SIZE
                              : TRANSPORT_TCP_SLIP;
        refuse_key(json, where, "answers_from", "is for \"udp\" alone");
        refuse_key(json, where, "answer_port", "is for \"udp\" alone");
    } else {
        refuse_key(json, where, "framing", "is for \"tcp\" alone");
        link->any_port = read_choice(json, where, "answers_from", ports, false) == 1;
        read_port(json, where, "answer_port", false, &link->answer_port);
    }
    tags = json_need(json, where, "type_tags", JSON_BOOL, false);
    link->untagged = tags && !json_bool(tags);
}

enum { REREAD_S = 60, STALE_READINGS = 3 };

const struct pace pace_presets = {.in_flight = 64,
                                  .per_second = 4000,
                                  .answer_within_ms = 300,
                                  .tries = 20,
                                  .reread_every_s = REREAD_S,
                                  .stale_after_s = STALE_READINGS * REREAD_S};

static void
read_pace(struct pace *pace, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"in_flight", "per_second",     "answer_within_ms",
                                       "tries",     "reread_every_s", "stale_after_s",
                                       NULL};
    const struct {
        const char *key;
        int most;
        int *whole;
        double *number;
    } rows[] = {
        {"in_flight", 4096, &pace->in_flight, NULL},
        {"per_second", 1000000, NULL, &pace->per_second},
        {"answer_within_ms", 10000, &pace->answer_within_ms, NULL},
        {"tries", 20, &pace->tries, NULL},
        {"reread_every_s", 3600, NULL, &pace->reread_every_s},
        {"stale_after_s", 86400, NULL, &pace->stale_after_s},
    };

    if (!json_check_keys(json, where, keys))
        return;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct json *value = json_get(json, rows[i].key);
        struct where here = where_key(where, rows[i].key);

        if (!value)
            continue;
        if (rows[i].whole)
            read_whole(value, &here, 1, rows[i].most, rows[i].whole);
        else
            read_positive(value, &here, rows[i].most, rows[i].number);
    }
    if (!json_get(json, "stale_after_s"))
        pace->stale_after_s = STALE_READINGS * pace->reread_every_s;
    if (pace->stale_after_s <= pace->reread_every_s)
        where_problem(where,
                      "stale_after_s must be longer than reread_every_s (%g s), or every value "
                      "would go stale between two readings",
                      pace->reread_every_s);
}

/* How the desk's equalisers compute. */
static void
read_filters(struct desk_filters *filters, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"rate_hz", "width", NULL};
    const struct json *rate, *width;
    struct where here = where_key(where, "rate_hz");

    if (!json_check_keys(json, where, keys))
        return;
    rate = json_get(json, "rate_hz");
    width = json_need(json, where, "width", JSON_STRING, false);
    if (rate && read_positive(rate, &here, 400000, &filters->rate_hz) && filters->rate_hz < 32000)
        where_problem(&here, "is %g; desks run at 32000 Hz or more", filters->rate_hz);
    here = where_key(where, "width");
    if (width && strcmp(json_string(width), "q") != 0 && strcmp(json_string(width), "octaves") != 0)
        where_problem(&here,
                      "is \"%s\"; allowed are \"q\" and \"octaves\" (between the half-gain "
                      "points)",
                      json_string(width));
    filters->width_in_octaves = width && strcmp(json_string(width), "octaves") == 0;
}

static void
read_every(struct renewal *renewal, const struct json *json, const struct where *where)
{
    const struct json *every = json_need(json, where, "every_s", JSON_NUMBER, true);
    struct where here = where_key(where, "every_s");

    if (every && !(json_number(every) >= RENEWAL_LEAST_S && json_number(every) <= 3600))
        where_problem(&here, "must be a number from %g to 3600", RENEWAL_LEAST_S);
    else if (every)
        renewal->every_s = json_number(every);
}

static void
read_renewals(struct loader *loader, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"send", "every_s", "this_only_asks", NULL};
    struct profile *profile = loader->profile;

    profile->renewals = need_memory((size_t)json_size(json), sizeof *profile->renewals);
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_index(where, (int)profile->renewal_count);
        struct renewal *renewal = &profile->renewals[profile->renewal_count++];
        const struct json *send, *only;
        struct entry none = {0};
        struct reading reading = {.loader = loader, .entry = &none, .question = true};
        struct where key;

        if (!json_check_keys(item, &here, keys))
            continue;
        send = json_need(item, &here, "send", JSON_ARRAY, true);
        key = where_key(&here, "send");
        if (send)
            read_pattern(&reading, &renewal->send, send, &key);
        if (none.variable_count > 0)
            where_problem(&key, "a renewal may not hold an index");
        read_every(renewal, item, &here);
        only = json_need(item, &here, "this_only_asks", JSON_BOOL, false);
        renewal->this_only_asks = only && json_bool(only);
    }
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
            read_whole(item, &here, least,
                       kind < INDEX_INPUT_EQ_BAND || most < BAND_LIMIT ? most : BAND_LIMIT,
                       &numbers[kind]);
    }
}

static void
read_counts(struct profile *profile, const struct json *json, const struct where *where)
{
    size_t before = where->problems->count;

    read_indexed(json, where, 0, COUNT_LIMIT, profile->counts.of);
    for (int kind = INDEX_INPUT; kind <= INDEX_MIX; kind++) {
        struct where here = where_key(where, index_name((enum index_kind)kind));

        if (where->problems->count == before && profile->counts.of[kind] == 0)
            where_problem(&here, "is missing or 0; a desk has at least one");
    }
}

static void
read_laws(struct loader *loader, const struct json *json, const struct where *where)
{
    loader->laws = need_memory((size_t)json_size(json), sizeof *loader->laws);
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_key(where, json_key(item));

        law_read(&loader->laws[loader->law_count++], json_key(item), item, &here);
    }
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
fixed_number(const struct json *json, enum param_id id)
{
    switch (json_kind(json)) {
    case JSON_NUMBER:
        return json_number(json);
    case JSON_BOOL:
        return params[id].unit == UNIT_SWITCH ? json_bool(json) : NAN;
    case JSON_STRING:
        if (strcmp(json_string(json), "-inf") == 0)
            return -HUGE_VAL;
        return param_word(id, json_string(json)) >= 0 ? (double)param_word(id, json_string(json))
                                                      : (double)NAN;
    case JSON_NULL:
    case JSON_ARRAY:
    case JSON_OBJECT:
        break;
    }
    return NAN;
}

static void
read_fixed(struct profile *profile, const struct json *json, const struct where *where)
{
    profile->fixed = need_memory((size_t)json_size(json), sizeof *profile->fixed);
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_key(where, json_key(item));
        enum param_id id = param_find(json_key(item));
        char nearest[100];
        double number;

        if (id == PARAMS) {
            where_problem(&here, "unknown parameter%s",
                          where_nearest(json_key(item), param_name_at, NULL, PARAMS, nearest));
            continue;
        }
        if (is_valued(profile, id))
            where_problem(&here, "is also read from the desk; it cannot be fixed besides");
        number = fixed_number(item, id);
        if (params[id].unit == UNIT_TEXT || !param_accepts(id, number))
            where_problem(&here, "is no value of %s, which is %s", params[id].name,
                          unit_name(params[id].unit));
        else
            profile->fixed[profile->fixed_count++] = (struct fixed){id, number};
    }
}

static const char *const profile_keys[] = {"$schema", "profile_format", "desk",  "link", "pace",
                                           "renew",   "counts",         "first", "laws", "values",
                                           "fixed",   "filters",        NULL};

static void
read_profile(struct loader *loader, const struct json *json, const struct where *where)
{
    struct profile *profile = loader->profile;
    const struct json *desk = json_need(json, where, "desk", JSON_STRING, true);
    const struct json *link = json_need(json, where, "link", JSON_OBJECT, true);
    const struct json *pace = json_need(json, where, "pace", JSON_OBJECT, false);
    const struct json *renew = json_need(json, where, "renew", JSON_ARRAY, false);
    const struct json *counts = json_need(json, where, "counts", JSON_OBJECT, true);
    const struct json *first = json_need(json, where, "first", JSON_OBJECT, false);
    const struct json *laws = json_need(json, where, "laws", JSON_OBJECT, false);
    const struct json *filters = json_need(json, where, "filters", JSON_OBJECT, false);
    const struct json *values = json_need(json, where, "values", JSON_ARRAY, true);
    const struct json *fixed = json_need(json, where, "fixed", JSON_OBJECT, false);
    struct where here;

    json_need(json, where, "$schema", JSON_STRING, false); /* for editors */
    if (desk)
        profile->desk = need_text(json_string(desk));
    here = where_key(where, "link");
    if (link)
        read_link(&profile->link, link, &here);
    here = where_key(where, "pace");
    if (pace)
        read_pace(&profile->pace, pace, &here);
    here = where_key(where, "counts");
    if (counts)
        read_counts(profile, counts, &here);
    here = where_key(where, "first");
    if (first)
        read_indexed(first, &here, 0, 1, loader->first);
    here = where_key(where, "laws");
    if (laws)
        read_laws(loader, laws, &here);
    here = where_key(where, "filters");
    if (filters)
        read_filters(&profile->filters, filters, &here);
    here = where_key(where, "renew");
    if (renew)
        read_renewals(loader, renew, &here);
    here = where_key(where, "values");
    if (values)
        read_entries(loader, values, &here);
    here = where_key(where, "fixed");
    if (fixed)
        read_fixed(profile, fixed, &here);
}

struct profile *
profile_from_json(const struct json *json, const char *path, struct problems *problems)
{
    struct where where = where_file(path, problems);
    size_t before = problems->count;
    struct loader loader = {.profile = need_memory(1, sizeof *loader.profile)};

    for (int kind = 0; kind < INDEX_KINDS; kind++)
        loader.first[kind] = 1;
    loader.profile->counts.of[INDEX_NONE] = 1;
    loader.profile->filters = (struct desk_filters){.rate_hz = RATE_PRESET_HZ};
    loader.profile->pace = pace_presets;
    if (json_check_kind(json, &where, "profile_format") &&
        json_check_keys(json, &where, profile_keys)) {
        json_check_format(json, &where, "profile_format", 1);
        read_profile(&loader, json, &where);
    }
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

struct profile *
profile_load(const char *path, struct problems *problems)
{
    struct json *json = json_read(path, problems);
    struct profile *profile;

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
