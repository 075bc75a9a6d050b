/* SPDX-License-Identifier: MIT */
/* The parts of the show file that a watch reads: "watch", "room" and "tell". */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/schema.h"
#include "core/need.h"
#include "show/file_parts.h"

void
show_take_beside(const struct field_given *given)
{
    const char *name = json_string(given->json), *slash = strrchr(given->where->file, '/');
    size_t folder = *name == '/' || !slash ? 0 : (size_t)(slash + 1 - given->where->file);
    char *joined = need_memory(folder + strlen(name) + 1, 1);

    memcpy(joined, given->where->file, folder);
    strcpy(joined + folder, name);
    *(char **)field_place(given) = joined;
}

/* ---- watch ---- */

static const struct field watch_keys[] = {
    {SHOW_RAISE_AFTER, FIELD_AT(struct watch_settings, raise_after_s)},
    {SHOW_CLEAR_AFTER, FIELD_AT(struct watch_settings, clear_after_s)},
    {"recall_values", FIELD_WHOLE, "so many values that move at once are a recall,",
     FIELD_AT(struct watch_settings, recall_values), .least = 2, .most = 100000,
     .preset = FIELD_PRESET(20)},
    {"recall_objects", FIELD_WHOLE, "when they are of so many inputs, mixes and groups",
     FIELD_AT(struct watch_settings, recall_objects), .least = 1, .most = 1000,
     .preset = FIELD_PRESET(4)},
    {0},
};

const struct fields show_watch_fields = {.help = "how patient the watch is", .rows = watch_keys};

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
    int hour, minute;

    if (strlen(text) != 5 || text[2] != ':' || !isdigit((unsigned char)text[0]) ||
        !isdigit((unsigned char)text[1]) || !isdigit((unsigned char)text[3]) ||
        !isdigit((unsigned char)text[4]))
        return -1;
    hour = atoi(text);
    minute = atoi(text + 3);
    return hour < 24 && minute < 60 ? hour * 60 + minute : -1;
}

static void
take_time(const struct field_given *given)
{
    int *minute = field_place(given);

    *minute = minute_of(json_string(given->json));
    if (*minute < 0)
        where_problem(given->where, "is \"%s\"; a time of day is written HH:MM",
                      json_string(given->json));
}

static const struct field row_keys[] = {
    {"time", FIELD_SPELT, "time of day, HH:MM", .need = FIELD_MUST,
     FIELD_AT(struct timetable_row, minute), .turn = 1,
     .pattern = "^([01][0-9]|2[0-3]):[0-5][0-9](?!\\n)$", .take = take_time},
    {"room", FIELD_WORD, "what the room is doing from then on", .need = FIELD_MUST,
     FIELD_AT(struct timetable_row, room), .words = &room_words},
    {"on", FIELD_SPELT, "only on this day, YYYY-MM-DD", FIELD_AT(struct timetable_row, day),
     .turn = 1, .what = "a day", .pattern = SHOW_DAY_PATTERN, .take = show_take_day},
    {0},
};

static const struct fields row_fields = {.help = "one change", .rows = row_keys};

static void
take_rows(const struct field_given *given)
{
    struct timetable *timetable = given->into;

    if (json_size(given->json) > TIMETABLE_ROWS) {
        where_problem(given->where, "has more than %d times", TIMETABLE_ROWS);
        return;
    }
    for (const struct json *item = json_first(given->json); item; item = json_next(item)) {
        struct where here = where_index(given->where, timetable->count);

        fields_read(given->field->object, item, &here, &timetable->rows[timetable->count++],
                    given->context);
    }
}

static void
take_zone(const struct field_given *given)
{
    char **zone = field_place(given);

    if (timetable_has_zone(json_string(given->json)))
        *zone = need_text(json_string(given->json));
    else
        where_problem(given->where, "no time zone \"%s\"; zones are named like \"Europe/Lisbon\"",
                      json_string(given->json));
}

/* Times are times of a zone. */
static void
need_zone(const struct field_given *given)
{
    const struct json *at = json_get(given->json, "at");

    if (at && json_kind(at) == JSON_ARRAY && !json_get(given->json, "zone"))
        json_need(given->json, given->where, "zone", JSON_STRING, true);
}

static struct json *
need_zone_schema(const struct field *field)
{
    struct json *zone = json_new_array();

    (void)field;
    json_add_string(zone, NULL, "zone");
    return schema_of("at", zone);
}

static const struct field room_keys[] = {
    {"begin", FIELD_WORD, "what the room is doing when the watch begins",
     FIELD_AT(struct timetable, begin), .words = &room_words, .preset = FIELD_PRESET(ROOM_DOORS)},
    {"changeover_s", FIELD_NUMBER, "how long a changeover lasts at most",
     FIELD_AT(struct timetable, changeover_s), .least = 1, .most = 86400,
     .preset = FIELD_PRESET(CHANGEOVER_PRESET_S)},
    {"zone", FIELD_TEXT, "time zone of the times: \"Europe/Lisbon\"",
     FIELD_AT(struct timetable, zone), .turn = 1, .take = take_zone},
    {"at", FIELD_LIST, "changes by the clock", .then = 2, .most = TIMETABLE_ROWS,
     .object = &row_fields, .take = take_rows},
    {"dependencies", FIELD_RULE, NULL, .turn = 1, .take = need_zone, .schema = need_zone_schema},
    {0},
};

const struct fields show_room_fields = {.help = "what the room is doing, and when that changes",
                                        .rows = room_keys};

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
    struct json *schema = schema_of("enum", weights);

    for (size_t i = 0; field_word(field->words, i); i++)
        json_add_string(weights, NULL, field_word(field->words, i));
    schema_describe(schema, field->help);
    return schema;
}

#define FROM_WEIGHT(help)                                                                          \
    "from_weight", FIELD_WORD, help, .words = &weight_words, .preset = FIELD_PRESET(WEIGHT_FIX),   \
                                     .schema = weight_schema

/* One of the two says where the hook's address stands. */
static void
need_url(const struct field_given *given)
{
    bool has_env = json_get(given->json, "url_env"), has_file = json_get(given->json, "url_file");

    if (has_env == has_file)
        where_problem(given->where,
                      "%s; either url_env or url_file says where the hook's address stands",
                      has_env ? "has both" : "has neither");
}

static struct json *
need_url_schema(const struct field *field)
{
    static const char *const keys[] = {"url_env", "url_file"};
    struct json *list = json_new_array();

    (void)field;
    for (int i = 0; i < 2; i++) {
        struct json *required = json_new_array();

        json_add_string(required, NULL, keys[i]);
        json_add(list, NULL, schema_of("required", required));
    }
    return list;
}

static const struct field chat_keys[] = {
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
    {0},
};

static const struct fields chat_fields = {.help = "where the watch posts its messages",
                                          .rows = chat_keys};

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
    char **address = field_place(given);

    if (strlen(json_string(given->json)) > CUE_ADDRESS_MOST) {
        where_problem(given->where, "is longer than %d bytes", CUE_ADDRESS_MOST);
    } else if (!is_address(json_string(given->json))) {
        where_problem(given->where,
                      "is no address of Open Sound Control: it begins with /, is plain "
                      "ASCII and holds none of space # * , ? [ ] { }");
    } else {
        free(*address); /* the preset */
        *address = need_text(json_string(given->json));
    }
}

static const struct field cue_keys[] = {
    {"host", FIELD_TEXT, "where it is sent; never where a desk is read", .need = FIELD_MUST,
     FIELD_AT(struct cue_settings, host)},
    {"port", FIELD_WHOLE, "its UDP port", .need = FIELD_GATE, FIELD_AT(struct cue_settings, port),
     .least = 1, .most = 65535},
    {"address", FIELD_TEXT, "its OSC address", FIELD_AT(struct cue_settings, address),
     .most = CUE_ADDRESS_MOST, .preset_text = "/gainwarden",
     .pattern = "^/(?:(?![#*,?\\[\\]{}])[!-~])*(?!\\n)$", .take = take_address},
    {FROM_WEIGHT("the least weight that is sent"), FIELD_AT(struct cue_settings, from_weight)},
    {0},
};

static const struct fields cue_fields = {.help = "one OSC message an edge, to a cue light, say",
                                         .rows = cue_keys};

/* A path, or "-". */
static void
take_output(const struct field_given *given)
{
    char **path = field_place(given);

    if (strcmp(json_string(given->json), "-") == 0)
        *path = need_text("-");
    else
        show_take_beside(given);
}

static const struct field lines_keys[] = {
    {"file", FIELD_TEXT, "its path, or \"-\" for standard output", .need = FIELD_MUST,
     FIELD_AT(struct tell_settings, lines), .take = take_output},
    {0},
};

static const struct fields lines_fields = {.help = "JSON lines, one object an edge",
                                           .rows = lines_keys};

static const struct field heartbeat_keys[] = {
    {"file", FIELD_TEXT, "its path", .need = FIELD_MUST, FIELD_AT(struct tell_settings, heartbeat),
     .take = take_output},
    {"every_s", FIELD_NUMBER, "how often", FIELD_AT(struct tell_settings, heartbeat_every_s),
     .least = 1, .most = 3600, .preset = FIELD_PRESET(10)},
    {0},
};

static const struct fields heartbeat_fields = {
    .help = "a file that is written anew while the watch lives", .rows = heartbeat_keys};

static const struct field tell_keys[] = {
    {"chat", FIELD_OBJECT, NULL, FIELD_AT(struct tell_settings, chat), .object = &chat_fields},
    {"osc", FIELD_OBJECT, NULL, FIELD_AT(struct tell_settings, cue), .object = &cue_fields},
    {"lines", FIELD_OBJECT, NULL, .object = &lines_fields},
    {"heartbeat", FIELD_OBJECT, NULL, .object = &heartbeat_fields},
    {0},
};

const struct fields show_tell_fields = {.help = "who is told besides the terminal",
                                        .rows = tell_keys};
