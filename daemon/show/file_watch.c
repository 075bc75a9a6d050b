#include "show/file_watch.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"

void
show_file_init_watch(struct show_file *file)
{
    file->tell.chat.from_weight = file->tell.cue.from_weight = FROM_WEIGHT_PRESET;
    file->tell.heartbeat_every_s = HEARTBEAT_PRESET_S;
    file->watch = (struct watch_settings){-1, -1, RECALL_VALUES_PRESET, RECALL_OBJECTS_PRESET};
    file->room = (struct timetable){.begin = ROOM_PRESET, .changeover_s = CHANGEOVER_PRESET_S};
}

void
show_file_free_watch(struct show_file *file)
{
    free(file->tell.chat.url_env);
    free(file->tell.chat.url_file);
    free(file->tell.chat.ca_file);
    json_free(file->tell.chat.body);
    free(file->tell.cue.host);
    free(file->tell.cue.address);
    free(file->tell.lines);
    free(file->tell.heartbeat);
    free(file->room.zone);
}

bool
show_file_has_chat(const struct show_file *file)
{
    return file->tell.chat.url_env || file->tell.chat.url_file;
}

char *
show_file_beside(const char *path, const char *name)
{
    const char *slash = strrchr(path, '/');
    size_t folder = *name == '/' || !slash ? 0 : (size_t)(slash + 1 - path);
    char *joined = malloc(folder + strlen(name) + 1);

    if (!joined)
        abort();
    memcpy(joined, path, folder);
    strcpy(joined + folder, name);
    return joined;
}

/* A number from least to most under the key; what stands there before stays when it is not given.
 */
static void
read_number(double *to, const struct json *json, const struct where *where, const char *key,
            double least, double most)
{
    const struct json *number = json_need(json, where, key, JSON_NUMBER, false);
    struct where here = where_key(where, key);

    if (number && !(json_number(number) >= least && json_number(number) <= most))
        where_problem(&here, "must be a number from %g to %g", least, most);
    else if (number)
        *to = json_number(number);
}

static void
read_whole(int *to, const struct json *json, const struct where *where, const char *key, int least,
           int most)
{
    const struct json *number = json_need(json, where, key, JSON_NUMBER, false);
    struct where here = where_key(where, key);

    if (number && (!(json_number(number) >= least && json_number(number) <= most) ||
                   json_number(number) != floor(json_number(number))))
        where_problem(&here, "must be a whole number from %d to %d", least, most);
    else if (number)
        *to = (int)json_number(number);
}

void
show_file_read_watch(struct watch_settings *watch, const struct json *json,
                     const struct where *where)
{
    static const char *const keys[] = {"raise_after_s", "clear_after_s", "recall_values",
                                       "recall_objects", NULL};

    if (!json_check_keys(json, where, keys))
        return;
    read_number(&watch->raise_after_s, json, where, "raise_after_s", 0, 3600);
    read_number(&watch->clear_after_s, json, where, "clear_after_s", 0, 3600);
    read_whole(&watch->recall_values, json, where, "recall_values", 2, 100000);
    read_whole(&watch->recall_objects, json, where, "recall_objects", 1, 1000);
}

/* ---- room ---- */

static void
read_room(enum room *to, const struct json *json, const struct where *where, const char *key,
          bool required)
{
    const struct json *name = json_need(json, where, key, JSON_STRING, required);
    struct where here = where_key(where, key);

    if (!name)
        return;
    if (room_find(json_string(name)) == ROOMS)
        where_problem(&here, "is \"%s\"; allowed are line-check, doors, show, changeover",
                      json_string(name));
    else
        *to = room_find(json_string(name));
}

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
read_row(struct timetable_row *row, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"time", "room", "on", NULL};
    const struct json *time, *on;
    struct where here;

    *row = (struct timetable_row){0};
    if (!json_check_keys(json, where, keys))
        return;
    read_room(&row->room, json, where, "room", true);
    time = json_need(json, where, "time", JSON_STRING, true);
    here = where_key(where, "time");
    if (time && (row->minute = minute_of(json_string(time))) < 0)
        where_problem(&here, "is \"%s\"; a time of day is written HH:MM", json_string(time));
    on = json_need(json, where, "on", JSON_STRING, false);
    here = where_key(where, "on");
    if (on && (row->day = clock_parse_day(json_string(on))) == 0)
        where_problem(&here, "is \"%s\"; a day is written YYYY-MM-DD", json_string(on));
}

static void
read_rows(struct timetable *timetable, const struct json *json, const struct where *where)
{
    if (json_size(json) > TIMETABLE_ROWS) {
        where_problem(where, "has more than %d times", TIMETABLE_ROWS);
        return;
    }
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_index(where, timetable->count);

        read_row(&timetable->rows[timetable->count++], item, &here);
    }
}

void
show_file_read_room(struct timetable *timetable, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"begin", "changeover_s", "zone", "at", NULL};
    const struct json *zone, *at;
    struct where here;

    if (!json_check_keys(json, where, keys))
        return;
    read_room(&timetable->begin, json, where, "begin", false);
    read_number(&timetable->changeover_s, json, where, "changeover_s", 1, 86400);
    at = json_need(json, where, "at", JSON_ARRAY, false);
    zone = json_need(json, where, "zone", JSON_STRING, at != NULL);
    here = where_key(where, "zone");
    if (zone && !timetable_has_zone(json_string(zone)))
        where_problem(&here, "no time zone \"%s\"; zones are named like \"Europe/Lisbon\"",
                      json_string(zone));
    else if (zone)
        timetable->zone = strdup(json_string(zone));
    here = where_key(where, "at");
    if (at)
        read_rows(timetable, at, &here);
}

/* ---- tell ---- */

static void
read_weight(enum weight *to, const struct json *weight, const struct where *where)
{
    enum weight found = weight ? weight_find(json_string(weight)) : *to;

    if (found == WEIGHTS)
        where_problem(where, "is \"%s\"; allowed are \"note\", \"fix\" and \"stop\"",
                      json_string(weight));
    else
        *to = found;
}

/* One of the two says where the hook's address stands. */
static void
read_url(struct chat_settings *chat, const char *path, const struct json *json,
         const struct where *where)
{
    const struct json *env = json_need(json, where, "url_env", JSON_STRING, false);
    const struct json *file = json_need(json, where, "url_file", JSON_STRING, false);
    bool has_env = json_get(json, "url_env"), has_file = json_get(json, "url_file");

    if (has_env == has_file)
        where_problem(where, "%s; either url_env or url_file says where the hook's address stands",
                      has_env ? "has both" : "has neither");
    if (env)
        chat->url_env = strdup(json_string(env));
    if (file)
        chat->url_file = show_file_beside(path, json_string(file));
}

static void
read_chat(struct chat_settings *chat, const char *path, const struct json *json,
          const struct where *where)
{
    static const char *const keys[] = {"url_env", "url_file", "from_weight", "all_clear_s",
                                       "body",    "ca_file",  NULL};
    const struct json *from_weight, *body, *ca_file;
    struct where here = where_key(where, "from_weight");

    if (!json_check_keys(json, where, keys))
        return;
    read_url(chat, path, json, where);
    from_weight = json_need(json, where, "from_weight", JSON_STRING, false);
    ca_file = json_need(json, where, "ca_file", JSON_STRING, false);
    read_number(&chat->all_clear_s, json, where, "all_clear_s", 0, 86400);
    body = json_get(json, "body");
    if (ca_file)
        chat->ca_file = show_file_beside(path, json_string(ca_file));
    if (body)
        chat->body = json_copy(body);
    read_weight(&chat->from_weight, from_weight, &here);
}

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
read_cue(struct cue_settings *cue, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"host", "port", "address", "from_weight", NULL};
    const struct json *host, *address;
    struct where here = where_key(where, "address");

    if (!json_check_keys(json, where, keys))
        return;
    host = json_need(json, where, "host", JSON_STRING, true);
    if (!json_need(json, where, "port", JSON_NUMBER, true))
        return;
    read_whole(&cue->port, json, where, "port", 1, 65535);
    address = json_need(json, where, "address", JSON_STRING, false);
    if (address && strlen(json_string(address)) > CUE_ADDRESS_MOST)
        where_problem(&here, "is longer than %d bytes", CUE_ADDRESS_MOST);
    else if (address && !is_address(json_string(address)))
        where_problem(&here, "is no address of Open Sound Control: it begins with /, is plain "
                             "ASCII and holds none of space # * , ? [ ] { }");
    cue->host = host ? strdup(json_string(host)) : NULL;
    cue->address = strdup(address ? json_string(address) : CUE_ADDRESS_PRESET);
    here = where_key(where, "from_weight");
    read_weight(&cue->from_weight, json_need(json, where, "from_weight", JSON_STRING, false),
                &here);
}

/* A part with the one key "file", and perhaps another that its reader takes. */
static char *
read_file_key(const struct json *json, const struct where *where, const char *path,
              const char *const *keys)
{
    const struct json *file;

    if (!json_check_keys(json, where, keys))
        return NULL;
    file = json_need(json, where, "file", JSON_STRING, true);
    if (!file)
        return NULL;
    return strcmp(json_string(file), "-") == 0 ? strdup("-")
                                               : show_file_beside(path, json_string(file));
}

void
show_file_read_tell(struct tell_settings *tell, const char *path, const struct json *json,
                    const struct where *where)
{
    static const char *const keys[] = {"chat", "osc", "lines", "heartbeat", NULL};
    static const char *const lines_keys[] = {"file", NULL};
    static const char *const heartbeat_keys[] = {"file", "every_s", NULL};
    const struct json *part;
    struct where here = where_key(where, "chat");

    if (!json_check_keys(json, where, keys))
        return;
    if ((part = json_need(json, where, "chat", JSON_OBJECT, false)))
        read_chat(&tell->chat, path, part, &here);
    here = where_key(where, "osc");
    if ((part = json_need(json, where, "osc", JSON_OBJECT, false)))
        read_cue(&tell->cue, part, &here);
    here = where_key(where, "lines");
    if ((part = json_need(json, where, "lines", JSON_OBJECT, false)))
        tell->lines = read_file_key(part, &here, path, lines_keys);
    here = where_key(where, "heartbeat");
    if ((part = json_need(json, where, "heartbeat", JSON_OBJECT, false))) {
        tell->heartbeat = read_file_key(part, &here, path, heartbeat_keys);
        read_number(&tell->heartbeat_every_s, part, &here, "every_s", 1, 3600);
    }
}
