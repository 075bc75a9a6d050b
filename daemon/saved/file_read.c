#include "saved/file.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "base/whole_file.h"
#include "profile/profile.h"
#include "saved/parts.h"

/* ---- small parts ---- */

/* "2026-06-13T17:04:05+02:00" */
static bool
is_time(const char *text)
{
    static const char form[] = "dddd-dd-ddTdd:dd:ddsdd:dd";
    char day[11];

    if (strlen(text) != sizeof form - 1)
        return false;
    for (size_t i = 0; form[i]; i++)
        if (form[i] == 'd'   ? text[i] < '0' || text[i] > '9'
            : form[i] == 's' ? text[i] != '+' && text[i] != '-'
                             : text[i] != form[i])
            return false;
    snprintf(day, sizeof day, "%.10s", text);
    return clock_parse_day(day) != 0;
}

static void
read_time(const struct json *json, const struct where *where, const char *key, char to[CLOCK_SIZE])
{
    const struct json *text = json_need(json, where, key, JSON_STRING, true);
    struct where here = where_key(where, key);

    if (text && !is_time(json_string(text)))
        where_problem(&here, "is \"%.40s\"; a time is written 2026-06-13T17:04:05+02:00",
                      json_string(text));
    else if (text)
        snprintf(to, CLOCK_SIZE, "%s", json_string(text));
}

/* ---- the whole ---- */

static const char *
param_at(const void *context, size_t i)
{
    (void)context;
    return params[i].name;
}

static void
read_params(struct desk *desk, const struct json *json, const struct where *where)
{
    char nearest[100];

    for (int id = 0; id < PARAMS; id++)
        desk_supply(desk, (enum param_id)id, SUPPLY_NONE);
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_key(where, json_key(item));
        enum param_id id = param_find(json_key(item));

        if (id == PARAMS)
            where_problem(&here, "unknown parameter%s",
                          where_nearest(json_key(item), param_at, NULL, PARAMS, nearest));
        else
            saved_read_param(desk, id, item, &here);
    }
}

static bool
read_counts(struct desk_counts *counts, const struct json *json, const struct where *where)
{
    const char *keys[INDEX_KINDS] = {NULL};
    bool good = true;

    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++)
        keys[kind - 1] = index_name((enum index_kind)kind);
    if (!json_check_keys(json, where, keys))
        return false;
    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++) {
        struct where here = where_key(where, keys[kind - 1]);
        const struct json *count = json_need(json, where, keys[kind - 1], JSON_NUMBER, true);
        int most = kind >= INDEX_INPUT_EQ_BAND ? BAND_LIMIT : COUNT_LIMIT;
        double number = count ? json_number(count) : -1;

        good = good && number >= 0 && number <= most && number == floor(number);
        if (count && !(number >= 0 && number <= most && number == floor(number)))
            where_problem(&here, "must be a whole number from 0 to %d", most);
        else if (count)
            counts->of[kind] = (int)number;
    }
    return good;
}

static void
read_filters(struct desk *desk, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"rate_hz", "width", NULL};
    static const char *const widths[] = {"q", "octaves", NULL};
    const struct json *rate, *width;
    struct where here = where_key(where, "rate_hz");
    double rate_hz;

    if (!json_check_keys(json, where, keys))
        return;
    rate = json_need(json, where, "rate_hz", JSON_NUMBER, true);
    width = json_need(json, where, "width", JSON_STRING, true);
    rate_hz = saved_number(rate);
    if (rate && !(rate_hz >= 32000 && rate_hz <= 400000))
        where_problem(&here, "must be a sample rate from 32000 to 400000 Hz");
    here = where_key(where, "width");
    if (rate && width)
        desk_set_filters(
            desk, (struct desk_filters){rate_hz, saved_read_word(width, &here, widths) == 1});
}

static void
read_approved(struct saved *saved, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"at", "by", "note", NULL};

    saved->approved = true;
    if (!json_check_keys(json, where, keys))
        return;
    read_time(json, where, "at", saved->approved_at);
    json_take_text(json, where, "by", 0, sizeof saved->by, saved->by);
    json_take_text(json, where, "note", 0, sizeof saved->note, saved->note);
}

/* The desk, when its counts are good. */
static void
read_desk(struct saved *saved, const struct json *root, const struct where *where)
{
    const struct json *counts = json_need(root, where, "counts", JSON_OBJECT, true);
    const struct json *filters = json_need(root, where, "filters", JSON_OBJECT, true);
    const struct json *values = json_need(root, where, "values", JSON_OBJECT, true);
    struct where here = where_key(where, "counts");
    struct desk_counts number = {.of = {0}};

    if (!counts || !read_counts(&number, counts, &here))
        return;
    saved->desk = desk_new(&number);
    if (!saved->desk)
        abort();
    here = where_key(where, "filters");
    if (filters)
        read_filters(saved->desk, filters, &here);
    here = where_key(where, "values");
    if (values)
        read_params(saved->desk, values, &here);
}

static void
check_digest(const struct json *root, const struct where *where, const char *text)
{
    const struct json *told = json_need(root, where, "digest", JSON_STRING, true);
    const char *at = strstr(text, SAVED_DIGEST_KEY);
    struct where here = where_key(where, "digest");
    char digest[SAVED_DIGEST_SIZE];

    if (!told)
        return;
    saved_digest(text, at ? at + strlen(SAVED_DIGEST_KEY) : NULL, digest);
    if (strcmp(json_string(told), digest) != 0)
        where_problem(&here, "does not fit the text: the file was damaged or edited since it was "
                             "stored; store the desk anew");
}

static void
read_root(struct saved *saved, const struct json *root, const struct where *where)
{
    static const char *const keys[] = {"saved_format", "digest",  "desk",   "show",   "at",
                                       "approved",     "filters", "counts", "values", NULL};
    const struct json *approved;
    struct where here = where_key(where, "approved");

    json_check_keys(root, where, keys);
    json_take_text(root, where, "desk", 0, sizeof saved->desk_name, saved->desk_name);
    json_take_text(root, where, "show", 0, sizeof saved->show, saved->show);
    read_time(root, where, "at", saved->at);
    approved = json_need(root, where, "approved", JSON_OBJECT, false);
    if (approved)
        read_approved(saved, approved, &here);
    read_desk(saved, root, where);
}

struct saved *
saved_file_parse(const char *text, size_t length, const char *name, struct problems *problems)
{
    struct where where = where_file(name, problems);
    size_t before = problems->count;
    struct json *root = json_parse(text, length, name, problems);
    struct saved *saved;

    if (!root)
        return NULL;
    saved = calloc(1, sizeof *saved);
    if (!saved)
        abort();
    if (json_check_kind(root, &where, "saved_format") &&
        json_check_format(root, &where, "saved_format", SAVED_FORMAT)) {
        read_root(saved, root, &where);
        check_digest(root, &where, text);
    }
    json_free(root);
    if (problems->count == before)
        return saved;
    saved_free(saved);
    return NULL;
}

struct saved *
saved_file_read(const char *path, struct problems *problems)
{
    size_t length = 0;
    char *text = whole_file_read(path, SAVED_FILE_LIMIT, &length);
    struct saved *saved;

    if (!text) {
        if (errno == EFBIG)
            problems_add(problems, "%s: larger than %d MiB, which no saved desk is", path,
                         SAVED_FILE_LIMIT / 1024 / 1024);
        else
            problems_add(problems, "%s: cannot read: %s", path, whole_file_why(errno));
        return NULL;
    }
    saved = saved_file_parse(text, length, path, problems);
    free(text);
    return saved;
}

bool
saved_file_fits(const struct saved *saved, const struct desk *desk, const char *path,
                struct problems *problems)
{
    struct where where = where_file(path, problems), counts = where_key(&where, "counts");
    size_t before = problems->count;

    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++) {
        struct where here = where_key(&counts, index_name((enum index_kind)kind));
        int mine = desk_count(saved->desk, (enum index_kind)kind);
        int other = desk_count(desk, (enum index_kind)kind);

        if (mine != other)
            where_problem(&here,
                          "is %d, but the profile has %d; it is of another desk, or from before "
                          "the profile changed: store the desk anew",
                          mine, other);
    }
    return problems->count == before;
}
