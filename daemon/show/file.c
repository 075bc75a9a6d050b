#include "show/file.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "check/check.h"
#include "desk/source.h"
#include "profile/agreed.h"
#include "show/file_watch.h"

static const char *const show_keys[] = {"$schema", "show_format", "show",   "desk",
                                        "inputs",  "mixes",       "checks", "accept",
                                        "tell",    "watch",       "room",   NULL};

/* ---- names for the nearest one ---- */

static const char *
source_at(const void *context, size_t i)
{
    (void)context;
    return sources[i].id;
}

static const char *
feeds_at(const void *context, size_t i)
{
    (void)context;
    return feeds_name((enum feeds)(i + 1));
}

static const char *
check_at(const void *context, size_t i)
{
    (void)context;
    return checks[i]->id;
}

static const char *
setting_at(const void *context, size_t i)
{
    return ((const struct check *)context)->settings[i].name;
}

static const char *
role_at(const void *context, size_t i)
{
    (void)context;
    return i == 0 ? "monitor" : "house";
}

/* ---- desk, watch, room and tell ---- */

static void
read_agreed(struct show_file *file, const struct json *agreed, const struct where *where)
{
    struct where here = where_key(where, "agreed");

    if (agreed_is_hash(json_string(agreed)))
        file->agreed = strdup(json_string(agreed));
    else
        where_problem(&here,
                      "must be the 64 digits that `gainwarden check` prints for the profile");
}

static void
read_desk(struct show_file *file, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"profile",  "host",   "port", "role",
                                       "approved", "agreed", NULL};
    const struct json *profile, *approved, *agreed, *host, *port;
    struct where here = where_key(where, "port");

    if (!json_check_keys(json, where, keys))
        return;
    profile = json_need(json, where, "profile", JSON_STRING, false);
    approved = json_need(json, where, "approved", JSON_STRING, false);
    agreed = json_need(json, where, "agreed", JSON_STRING, false);
    host = json_need(json, where, "host", JSON_STRING, false);
    port = json_need(json, where, "port", JSON_NUMBER, false);
    if (profile)
        file->profile = show_file_beside(file->path, json_string(profile));
    if (approved)
        file->approved = show_file_beside(file->path, json_string(approved));
    if (agreed)
        read_agreed(file, agreed, where);
    if (host)
        file->host = strdup(json_string(host));
    if (!port)
        return;
    if (!(json_number(port) >= 1 && json_number(port) <= 65535) ||
        json_number(port) != floor(json_number(port)))
        where_problem(&here, "must be a whole number from 1 to 65535");
    else
        file->port = (int)json_number(port);
}

static void
read_parts(struct show_file *file, const struct where *where)
{
    const struct json *tell = json_need(file->json, where, "tell", JSON_OBJECT, false);
    const struct json *watch = json_need(file->json, where, "watch", JSON_OBJECT, false);
    const struct json *room = json_need(file->json, where, "room", JSON_OBJECT, false);
    struct where here = where_key(where, "tell");

    if (tell)
        show_file_read_tell(&file->tell, file->path, tell, &here);
    here = where_key(where, "watch");
    if (watch)
        show_file_read_watch(&file->watch, watch, &here);
    here = where_key(where, "room");
    if (room)
        show_file_read_room(&file->room, room, &here);
}

struct show_file *
show_file_from_json(struct json *json, const char *path, struct problems *problems)
{
    struct where where = where_file(path, problems);
    struct show_file *file = calloc(1, sizeof *file);
    size_t before = problems->count;
    const struct json *desk;
    struct where here;

    if (!file)
        abort();
    file->path = strdup(path);
    show_file_init_watch(file);
    file->json = json;
    if (!json_check_kind(file->json, &where, "show_format") ||
        !json_check_keys(file->json, &where, show_keys))
        goto fail;
    json_need(file->json, &where, "$schema", JSON_STRING, false); /* for editors */
    json_check_format(file->json, &where, "show_format", 1);
    desk = json_need(file->json, &where, "desk", JSON_OBJECT, false);
    here = where_key(&where, "desk");
    if (desk)
        read_desk(file, desk, &here);
    read_parts(file, &where);
    if (problems->count == before)
        return file;

fail:
    show_file_free(file);
    return NULL;
}

struct show_file *
show_file_open(const char *path, struct problems *problems)
{
    struct json *json = json_read(path, problems);

    return json ? show_file_from_json(json, path, problems) : NULL;
}

void
show_file_free(struct show_file *file)
{
    if (!file)
        return;
    free(file->path);
    free(file->profile);
    free(file->host);
    free(file->approved);
    free(file->agreed);
    show_file_free_watch(file);
    json_free(file->json);
    free(file);
}

/* ---- inputs and mixes ---- */

/* The 0-based number that a key "7" stands for, or -1 with a problem. */
static int
read_number_key(const char *key, int count, const char *what, const struct where *where)
{
    char *end;
    long number = isdigit((unsigned char)*key) ? strtol(key, &end, 10) : 0;

    if (number < 1 || number > count || *end) {
        where_problem(where, "the desk has %s 1 to %d", what, count);
        return -1;
    }
    return (int)number - 1;
}

static void
read_name(const struct json *json, const struct where *where, const char *key, size_t size,
          char *to, bool required)
{
    const struct json *name = json_need(json, where, key, JSON_STRING, required);
    struct where here = where_key(where, key);

    if (!name)
        return;
    if (strlen(json_string(name)) >= size)
        where_problem(&here, "is longer than %zu bytes", size - 1);
    else if (required && !*json_string(name))
        where_problem(&here, "is empty");
    else
        escape_clean(to, size, json_string(name));
}

/* Whether the key says `yes`; anything but `yes` and `no` is a problem. */
static bool
read_choice(const struct json *json, const struct where *where, const char *key, const char *yes,
            const char *no)
{
    const struct json *choice = json_need(json, where, key, JSON_STRING, false);
    struct where here = where_key(where, key);

    if (!choice)
        return false;
    if (strcmp(json_string(choice), yes) != 0 && strcmp(json_string(choice), no) != 0)
        where_problem(&here, "is \"%s\"; allowed are \"%s\" and \"%s\"", json_string(choice), yes,
                      no);
    return strcmp(json_string(choice), yes) == 0;
}

static void
read_input(struct show_input *input, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"source",    "player",     "preamp_owner",
                                       "lowest_hz", "microphone", NULL};
    const struct json *source, *lowest, *microphone;
    struct where here;
    char nearest[100];

    if (!json_check_keys(json, where, keys))
        return;
    read_name(json, where, "player", sizeof input->player, input->player, false);
    source = json_need(json, where, "source", JSON_STRING, false);
    here = where_key(where, "source");
    if (source && (input->source = source_find(json_string(source))) == SOURCE_UNKNOWN)
        where_problem(
            &here, "unknown kind of source \"%s\"%s; `gainwarden explain sources` lists them",
            json_string(source),
            where_nearest(json_string(source), source_at, NULL, (size_t)source_count, nearest));
    input->house_preamp = read_choice(json, where, "preamp_owner", "house", "monitor");
    microphone = json_need(json, where, "microphone", JSON_STRING, false);
    here = where_key(where, "microphone");
    if (microphone &&
        (input->microphone = microphone_find(json_string(microphone))) == MICROPHONE_UNKNOWN)
        where_problem(&here, "is \"%s\"; allowed are dynamic, ribbon, condenser, active-di, line",
                      json_string(microphone));
    lowest = json_need(json, where, "lowest_hz", JSON_NUMBER, false);
    here = where_key(where, "lowest_hz");
    if (lowest && !(json_number(lowest) >= 10 && json_number(lowest) <= 5000))
        where_problem(&here, "must be a frequency from 10 to 5000 Hz");
    else if (lowest)
        input->lowest_hz = json_number(lowest);
}

static void
read_mix(struct show_mix *mix, const struct json *json, const struct where *where)
{
    static const char *const keys[] = {"feeds", "player", "limiter", "tuned_in", NULL};
    const struct json *feeds;
    struct where here = where_key(where, "feeds");
    char nearest[100];

    if (!json_check_keys(json, where, keys))
        return;
    read_name(json, where, "player", sizeof mix->player, mix->player, false);
    feeds = json_need(json, where, "feeds", JSON_STRING, false);
    if (feeds && (mix->feeds = feeds_find(json_string(feeds))) == FEEDS_UNKNOWN)
        where_problem(
            &here,
            "unknown kind of mix \"%s\"%s; allowed are wedge, side-fill, drum-fill, in-ear, "
            "unused",
            json_string(feeds),
            where_nearest(json_string(feeds), feeds_at, NULL, FEEDS_COUNT - 1, nearest));
    mix->limited_elsewhere = read_choice(json, where, "limiter", "transmitter", "desk");
    mix->tuned_here = read_choice(json, where, "tuned_in", "desk", "amplifier");
}

/* ---- checks and accepted findings ---- */

/* What every check has: how long it is held before it is told. False when the key is another. */
static bool
read_hold(struct show_check *to, const struct json *item, const struct where *where)
{
    bool raise = strcmp(json_key(item), "raise_after_s") == 0;

    if (!raise && strcmp(json_key(item), "clear_after_s") != 0)
        return false;
    if (json_kind(item) != JSON_NUMBER || !(json_number(item) >= 0 && json_number(item) <= 3600))
        where_problem(where, "must be seconds from 0 to 3600");
    else
        *(raise ? &to->raise_after_s : &to->clear_after_s) = json_number(item);
    return true;
}

static void
read_settings(struct show_check *to, const struct check *check, const struct json *json,
              const struct where *where)
{
    size_t count = 0;
    char nearest[100];

    while (count < CHECK_SETTINGS && check->settings[count].name)
        count++;
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_key(where, json_key(item));
        const struct setting *setting;
        size_t i = 0;

        if (read_hold(to, item, &here))
            continue;
        while (i < count && strcmp(check->settings[i].name, json_key(item)) != 0)
            i++;
        if (i == count) {
            where_problem(&here, "unknown setting%s",
                          where_nearest(json_key(item), setting_at, check, count, nearest));
            continue;
        }
        setting = &check->settings[i];
        if (json_kind(item) != JSON_NUMBER ||
            !(json_number(item) >= setting->least && json_number(item) <= setting->most))
            where_problem(&here, "must be a number from %g to %g", setting->least, setting->most);
        else
            to->settings[i] = json_number(item);
    }
}

/* Position of the check the text names, or -1 with a problem. */
static int
read_check_id(const char *id, const struct where *where)
{
    int check = check_find(id);
    char nearest[100];

    if (check < 0)
        where_problem(where, "unknown check \"%s\"%s; `gainwarden explain` lists them", id,
                      where_nearest(id, check_at, NULL, (size_t)CHECKS, nearest));
    return check;
}

static void
read_checks(struct show *show, const struct json *json, const struct where *where)
{
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_key(where, json_key(item));
        int check = read_check_id(json_key(item), &here);

        if (check < 0)
            continue;
        if (json_kind(item) == JSON_STRING && strcmp(json_string(item), "off") == 0)
            show->checks[check].off = true;
        else if (json_kind(item) == JSON_OBJECT)
            read_settings(&show->checks[check], checks[check], item, &here);
        else
            where_problem(&here, "must be \"off\" or an object of settings");
    }
}

static int
read_object_number(const struct json *json, const struct where *where, const char *key, int count)
{
    const struct json *number = json_need(json, where, key, JSON_NUMBER, false);
    struct where here = where_key(where, key);

    if (!number)
        return -1;
    if (!(json_number(number) >= 1 && json_number(number) <= count) ||
        json_number(number) != floor(json_number(number))) {
        where_problem(&here, "the desk has %s%s 1 to %d", key, strcmp(key, "mix") == 0 ? "es" : "s",
                      count);
        return -1;
    }
    return (int)json_number(number) - 1;
}

static void
read_accept(struct accept *accept, const struct show *show, const struct json *json,
            const struct where *where)
{
    static const char *const keys[] = {"check", "input", "mix",   "why",
                                       "by",    "until", "up_to", NULL};
    const struct json *id, *until, *up_to;
    struct where here;

    *accept = (struct accept){.check = -1, .input = -1, .mix = -1, .up_to = HUGE_VAL};
    if (!json_check_keys(json, where, keys))
        return;
    id = json_need(json, where, "check", JSON_STRING, true);
    here = where_key(where, "check");
    if (id)
        accept->check = read_check_id(json_string(id), &here);
    accept->input = read_object_number(json, where, "input", show->input_count);
    accept->mix = read_object_number(json, where, "mix", show->mix_count);
    read_name(json, where, "why", sizeof accept->why, accept->why, true);
    read_name(json, where, "by", sizeof accept->by, accept->by, false);
    until = json_need(json, where, "until", JSON_STRING, false);
    here = where_key(where, "until");
    if (until && (accept->until = clock_parse_day(json_string(until))) == 0)
        where_problem(&here, "is \"%s\"; a last day is written YYYY-MM-DD", json_string(until));
    up_to = json_need(json, where, "up_to", JSON_NUMBER, false);
    if (up_to)
        accept->up_to = json_number(up_to);
}

static void
read_accepts(struct show *show, const struct json *json, const struct where *where)
{
    show->accepts = calloc((size_t)json_size(json) + 1, sizeof *show->accepts);
    if (!show->accepts)
        abort();
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_index(where, show->accept_count);

        read_accept(&show->accepts[show->accept_count++], show, item, &here);
    }
}

static void
read_role(struct show *show, const struct json *desk, const struct where *where)
{
    const struct json *role = json_need(desk, where, "role", JSON_STRING, false);
    struct where here = where_key(where, "role");
    char nearest[100];

    if (!role)
        return;
    if (strcmp(json_string(role), "monitor") == 0)
        show->role = ROLE_MONITOR;
    else if (strcmp(json_string(role), "house") == 0)
        show->role = ROLE_HOUSE;
    else
        where_problem(&here, "is \"%s\"%s; allowed are \"monitor\" and \"house\"",
                      json_string(role),
                      where_nearest(json_string(role), role_at, NULL, 2, nearest));
}

/* "inputs" or "mixes": objects under numbered keys. */
static void
read_numbered(struct show *show, const struct json *json, bool inputs, const struct where *where)
{
    for (const struct json *item = json_first(json); item; item = json_next(item)) {
        struct where here = where_key(where, json_key(item));
        int number = read_number_key(json_key(item), inputs ? show->input_count : show->mix_count,
                                     inputs ? "inputs" : "mixes", &here);

        if (number < 0)
            continue;
        if (inputs)
            read_input(&show->inputs[number], item, &here);
        else
            read_mix(&show->mixes[number], item, &here);
    }
}

/* Before the checks' own. */
static void
set_holds(struct show *show, const struct watch_settings *watch)
{
    for (int check = 0; check < CHECKS; check++) {
        if (watch->raise_after_s >= 0)
            show->checks[check].raise_after_s = watch->raise_after_s;
        if (watch->clear_after_s >= 0)
            show->checks[check].clear_after_s = watch->clear_after_s;
    }
}

struct show *
show_file_show(const struct show_file *file, const struct desk_counts *counts,
               struct problems *problems)
{
    struct where where = where_file(file->path, problems);
    size_t before = problems->count;
    struct show *show = check_show_new(counts->of[INDEX_INPUT], counts->of[INDEX_MIX]);
    const struct json *root = file->json;
    const struct json *desk = json_get(root, "desk");
    const struct json *inputs = json_need(root, &where, "inputs", JSON_OBJECT, false);
    const struct json *mixes = json_need(root, &where, "mixes", JSON_OBJECT, false);
    const struct json *settings = json_need(root, &where, "checks", JSON_OBJECT, false);
    const struct json *accepts = json_need(root, &where, "accept", JSON_ARRAY, false);
    struct where here = where_key(&where, "desk");

    if (!show)
        abort();
    show->given = true;
    set_holds(show, &file->watch);
    read_name(root, &where, "show", sizeof show->name, show->name, false);
    if (desk)
        read_role(show, desk, &here);
    here = where_key(&where, "inputs");
    if (inputs)
        read_numbered(show, inputs, true, &here);
    here = where_key(&where, "mixes");
    if (mixes)
        read_numbered(show, mixes, false, &here);
    here = where_key(&where, "checks");
    if (settings)
        read_checks(show, settings, &here);
    here = where_key(&where, "accept");
    if (accepts)
        read_accepts(show, accepts, &here);
    if (problems->count == before)
        return show;
    show_free(show);
    return NULL;
}
