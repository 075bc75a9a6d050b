/* SPDX-License-Identifier: MIT */
/* The parts of the show file that a watch reads: "watch", "room" and "tell". */
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/schema.h"
#include "base/text_format.h"
#include "core/need.h"
#include "show/file_parts.h"

void
show_take_beside(const struct field_given *given)
{
    const char *name = where_text(given->where), *slash = strrchr(given->where->file, '/');
    int folder = *name == '/' || !slash ? 0 : (int)(slash + 1 - given->where->file);

    *(char **)field_place(given) = text_printed("%.*s%s", folder, given->where->file, name);
}

/* Nobody finds a host of the name "192.0.2.1:9000". */
void
show_take_host(const struct field_given *given)
{
    const char *host = where_text(given->where), *colon = strchr(host, ':');

    if (strpbrk(host, "[]") || (colon && !strchr(colon + 1, ':')))
        where_problem(given->where,
                      "\"%s\" is more than a host: a port stands beside it, under \"port\", and an "
                      "IPv6 address without brackets",
                      host);
    else
        *(char **)field_place(given) = need_text(host);
}

/* ---- watch ---- */

const struct field show_watch_fields[] = {
    {SHOW_RAISE_AFTER, FIELD_AT(struct watch_settings, raise_after_s)},
    {SHOW_CLEAR_AFTER, FIELD_AT(struct watch_settings, clear_after_s)},
    {"recall_values", FIELD_WHOLE, "so many values that move at once are a recall,",
     FIELD_AT(struct watch_settings, recall_values), .least = 2, .most = 100000,
     .preset = FIELD_PRESET(20)},
    {"recall_objects", FIELD_WHOLE, "when they are of so many inputs, mixes and groups",
     FIELD_AT(struct watch_settings, recall_objects), .least = 1, .most = 1000,
     .preset = FIELD_PRESET(4)},
    {.help = "how patient the watch is"},
};

/* ---- room ---- */

static const char *
room_word(size_t i)
{
    return i < ROOMS ? room_name((enum room)i) : NULL;
}

static const struct field_words room_words = {.word = room_word};

/* Minutes of the day that "HH:MM" stands for, or -1. */
static int
minute_of(const char *text)
{
    bool good = clock_has_form(text, "dd:dd");
    int hour = good ? atoi(text) : 24, minute = good ? atoi(text + 3) : 60;

    return hour < 24 && minute < 60 ? hour * 60 + minute : -1;
}

static void
take_time(const struct field_given *given)
{
    const char *text = where_text(given->where);
    int *minute = field_place(given);

    *minute = minute_of(text);
    if (*minute < 0)
        where_problem(given->where, "is \"%s\"; a time of day is written HH:MM", text);
}

static const struct field row_fields[] = {
    {"time", FIELD_SPELT, "time of day, HH:MM", .need = FIELD_MUST,
     FIELD_AT(struct timetable_row, minute), .turn = 1,
     .pattern = "^([01][0-9]|2[0-3]):[0-5][0-9](?!\\n)$", .take = take_time},
    {"room", FIELD_WORD, "what the room is doing from then on", .need = FIELD_MUST,
     FIELD_AT(struct timetable_row, room), .words = &room_words},
    {"on", FIELD_SPELT, "only on this day, YYYY-MM-DD", FIELD_AT(struct timetable_row, day),
     .turn = 1, .what = "a day", .pattern = SHOW_DAY_PATTERN, .take = show_take_day},
    {.help = "one change"},
};

static void
take_rows(const struct field_given *given)
{
    struct timetable *timetable = given->into;

    if (json_size(given->where->json) > TIMETABLE_ROWS) {
        where_problem(given->where, "has more than %d times", TIMETABLE_ROWS);
        return;
    }
    for (struct where one = where_first(given->where); one.json; where_next(&one))
        fields_read(given->field->object, &one, &timetable->rows[timetable->count++], NULL);
}

static void
take_zone(const struct field_given *given)
{
    const char *zone = where_text(given->where);

    if (timetable_has_zone(zone))
        *(char **)field_place(given) = need_text(zone);
    else
        where_problem(given->where, "no time zone \"%s\"; zones are named like \"Europe/Lisbon\"",
                      zone);
}

/* Times are times of a zone. */
static void
need_zone(const struct field_given *given)
{
    struct where at = where_key(given->where, "at"), zone = where_key(given->where, "zone");

    if (where_is(&at, JSON_ARRAY) && !zone.json)
        where_need(&zone, JSON_STRING, true);
}

static struct json *
need_zone_schema(const struct field *field)
{
    (void)field;
    return schema_of("at", json_words("zone"));
}

const struct field show_room_fields[] = {
    {"begin", FIELD_WORD, "what the room is doing when the watch begins",
     FIELD_AT(struct timetable, begin), .words = &room_words, .preset = FIELD_PRESET(ROOM_DOORS)},
    {"changeover_s", FIELD_NUMBER, "how long a changeover lasts at most",
     FIELD_AT(struct timetable, changeover_s), .least = 1, .most = 86400,
     .preset = FIELD_PRESET(CHANGEOVER_PRESET_S)},
    {"zone", FIELD_TEXT, "time zone of the times: \"Europe/Lisbon\"",
     FIELD_AT(struct timetable, zone), .turn = 1, .take = take_zone},
    {"at", FIELD_LIST, "changes by the clock", .then = 2, .most = TIMETABLE_ROWS,
     .object = row_fields, .take = take_rows},
    {"dependencies", FIELD_RULE, NULL, .turn = 1, .take = need_zone, .schema = need_zone_schema},
    {.help = "what the room is doing, and when that changes"},
};

/* ---- tell ---- */

static const char *
weight_word(size_t i)
{
    return i < WEIGHTS ? weight_name((enum weight)i) : NULL;
}

static const struct field_words weight_words = {.word = weight_word, .quoted = true};

static struct json *
weight_schema(const struct field *field)
{
    struct json *weights = json_new_array();

    for (size_t i = 0; field_word(field->words, i); i++)
        json_add_string(weights, NULL, field_word(field->words, i));
    return schema_describe(schema_of("enum", weights), field->help);
}

#define FROM_WEIGHT(help)                                                                          \
    "from_weight", FIELD_WORD, help, .words = &weight_words, .preset = FIELD_PRESET(WEIGHT_FIX),   \
                                     .schema = weight_schema

/* One of the two says where the hook's address stands. */
static void
need_url(const struct field_given *given)
{
    const struct json *json = given->where->json;
    bool has_env = json_get(json, "url_env"), has_file = json_get(json, "url_file");

    if (has_env == has_file)
        where_problem(given->where,
                      "%s; either url_env or url_file says where the hook's address stands",
                      has_env ? "has both" : "has neither");
}

static struct json *
need_url_schema(const struct field *field)
{
    (void)field;
    return json_list(schema_of("required", json_words("url_env")),
                     schema_of("required", json_words("url_file")));
}

static const struct field chat_fields[] = {
    {"url_env", FIELD_TEXT, "the environment variable that holds the hook's address, or",
     FIELD_AT(struct chat_settings, url_env)},
    {"url_file", FIELD_TEXT, "the file that holds nothing else, from this file's folder",
     FIELD_AT(struct chat_settings, url_file), .take = show_take_beside},
    {FROM_WEIGHT("the least weight that is posted"), FIELD_AT(struct chat_settings, from_weight),
     .turn = 2, .then = 4},
    {"all_clear_s", FIELD_NUMBER,
     "how often it hears that all is watched, with the next \"still watching\"; 0: never",
     FIELD_AT(struct chat_settings, all_clear_s), .turn = 3, .most = 86400,
     .preset = FIELD_PRESET(0)},
    {"body", FIELD_ANYTHING,
     "any JSON; inside its strings ${text} becomes the message and ${id} its identity",
     FIELD_AT(struct chat_settings, body)},
    {"ca_file", FIELD_TEXT, "certificates to trust besides the system's",
     FIELD_AT(struct chat_settings, ca_file), .turn = 2, .take = show_take_beside},
    {"oneOf", FIELD_RULE, NULL, .turn = 1, .take = need_url, .schema = need_url_schema},
    {.help = "where the watch posts its messages"},
};

/* Of printable ASCII without what makes a pattern (OSC 1.0, "OSC Address Spaces"). */
static bool
is_address(const char *text)
{
    const char *at = text;

    while (*at > ' ' && *at <= '~' && !strchr("#*,?[]{}", *at))
        at++;
    return *text == '/' && *at == '\0';
}

static void
take_address(const struct field_given *given)
{
    const char *text = where_text(given->where);
    char **address = field_place(given);

    if (strlen(text) > CUE_ADDRESS_MOST) {
        where_problem(given->where, "is longer than %d bytes", CUE_ADDRESS_MOST);
    } else if (!is_address(text)) {
        where_problem(given->where,
                      "is no address of Open Sound Control: it begins with /, is plain "
                      "ASCII and holds none of space # * , ? [ ] { }");
    } else {
        free(*address); /* the preset */
        *address = need_text(text);
    }
}

static const struct field cue_fields[] = {
    {"host", FIELD_TEXT, "where it is sent; never where a desk is read", .need = FIELD_MUST,
     FIELD_AT(struct cue_settings, host), .pattern = SHOW_HOST_PATTERN, .take = show_take_host},
    {"port", FIELD_WHOLE, "its UDP port", .need = FIELD_GATE, FIELD_AT(struct cue_settings, port),
     .least = 1, .most = 65535},
    {"address", FIELD_TEXT, "its OSC address", FIELD_AT(struct cue_settings, address),
     .most = CUE_ADDRESS_MOST, .preset_text = "/gainwarden",
     .pattern = "^/(?:(?![#*,?\\[\\]{}])[!-~])*(?!\\n)$", .take = take_address},
    {FROM_WEIGHT("the least weight that is sent"), FIELD_AT(struct cue_settings, from_weight)},
    {.help = "one OSC message an edge, to a cue light, say"},
};

/* A path, or "-". */
static void
take_output(const struct field_given *given)
{
    if (strcmp(where_text(given->where), "-") == 0)
        *(char **)field_place(given) = need_text("-");
    else
        show_take_beside(given);
}

static const struct field lines_fields[] = {
    {"file", FIELD_TEXT, "its path, or \"-\" for standard output", .need = FIELD_MUST,
     FIELD_AT(struct tell_settings, lines), .take = take_output},
    {.help = "JSON lines, one object an edge"},
};

static const struct field heartbeat_fields[] = {
    {"file", FIELD_TEXT, "its path", .need = FIELD_MUST, FIELD_AT(struct tell_settings, heartbeat),
     .take = take_output},
    {"every_s", FIELD_NUMBER, "how often", FIELD_AT(struct tell_settings, heartbeat_every_s),
     .least = 1, .most = 3600, .preset = FIELD_PRESET(10)},
    {.help = "a file that is written anew while the watch lives"},
};

const struct field show_tell_fields[] = {
    {"chat", FIELD_OBJECT, NULL, FIELD_AT(struct tell_settings, chat), .object = chat_fields},
    {"osc", FIELD_OBJECT, NULL, FIELD_AT(struct tell_settings, cue), .object = cue_fields},
    {"lines", FIELD_OBJECT, NULL, .object = lines_fields},
    {"heartbeat", FIELD_OBJECT, NULL, .object = heartbeat_fields},
    {.help = "who is told besides the terminal"},
};
