/* SPDX-License-Identifier: MIT */
#include "show/file.h"

#include <stdlib.h>

#include "base/schema.h"
#include "check/check.h"
#include "core/need.h"
#include "profile/agreed.h"
#include "show/file_parts.h"
#include "show/plan_file.h"

_Static_assert(COUNT_LIMIT <= 999, "the schema knows numbers of three digits");

/* ---- "desk" ---- */

static void
take_agreed(const struct field_given *given)
{
    const char *hash = where_text(given->where);

    if (agreed_is_hash(hash))
        *(char **)field_place(given) = need_text(hash);
    else
        where_problem(given->where,
                      "must be the 64 digits that `gainwarden check` prints for the profile");
}

static const struct field_words role_words = {
    .list = (const char *const[]){"monitor", "house", NULL},
    .first = ROLE_MONITOR,
    .nearest = true,
    .quoted = true,
};

static const struct field desk_fields[] = {
    {"profile", FIELD_TEXT, "the profile's path, from this file's folder",
     FIELD_AT(struct show_file, profile), .take = show_take_beside},
    {"host", FIELD_TEXT, "name or address of the desk", FIELD_AT(struct show_file, host), .turn = 1,
     .pattern = SHOW_HOST_PATTERN, .take = show_take_host},
    {"port", FIELD_WHOLE, "in place of the profile's", FIELD_AT(struct show_file, port), .turn = 1,
     .then = 3, .least = 1, .most = 65535},
    {"role", FIELD_WORD,
     "monitor: the desk's faders are parked at 0 dB; house: monitors are mixed on the "
     "house desk, whose faders are ridden",
     FIELD_AT(struct show, role), .turn = TURN_NAMES, .words = &role_words},
    {"approved", FIELD_TEXT, "the approved desk's path, from this file's folder",
     FIELD_AT(struct show_file, approved), .take = show_take_beside},
    {"stage", FIELD_TEXT, "the stage plan's path, from this file's folder",
     FIELD_AT(struct show_file, stage), .take = show_take_beside},
    {"agreed", FIELD_TEXT, "agrees to what the profile sends: the hash that `check` prints",
     FIELD_AT(struct show_file, agreed), .then = 2, .pattern = "^[0-9a-f]{64}(?!\\n)$",
     .take = take_agreed},
    {.help = "which desk, and whose it is"},
};

/* ---- the whole ---- */

const struct field show_file_fields[] = {
    FIELD_EDITORS,
    FIELD_FILE_FORMAT("show_format", 1),
    {.key = "show",
     .kind = FIELD_NAME,
     FIELD_AT(struct show, name),
     .turn = TURN_NAMES,
     .help = "what tonight is called"},
    {"desk", FIELD_OBJECT, NULL, .object = desk_fields},
    {"inputs", FIELD_NUMBERED, "inputs by number, from 1", .turn = TURN_PARTS,
     .then = TURN_CONTENTS, .object = show_input_fields, .take = show_take_numbered},
    {"mixes", FIELD_NUMBERED, "mixes by number, from 1", .turn = TURN_PARTS, .then = TURN_CONTENTS,
     .object = show_mix_fields, .take = show_take_numbered},
    {"checks", FIELD_BY_NAME, "checks by id: switched off, or with other settings",
     .turn = TURN_PARTS, .then = TURN_CONTENTS, .take = show_take_checks,
     .schema = show_checks_schema},
    {"accept", FIELD_LIST, "findings to live with", .turn = TURN_PARTS, .then = TURN_CONTENTS,
     .object = show_accept_fields, .take = show_take_accepts},
    {"tell", FIELD_OBJECT, NULL, FIELD_AT(struct show_file, tell), .then = 1,
     .object = show_tell_fields},
    {"watch", FIELD_OBJECT, NULL, FIELD_AT(struct show_file, watch), .then = 1,
     .object = show_watch_fields},
    {"room", FIELD_OBJECT, NULL, FIELD_AT(struct show_file, room), .then = 1,
     .object = show_room_fields},
    {.title = "gainwarden show file",
     .help = "who plays into which input, what each mix feeds, and what is accepted tonight"},
};

struct show_file *
show_file_from_json(struct json *json, const char *path, struct problems *problems)
{
    struct where where = where_file(path, json, problems);
    struct show_file *file = need_memory(1, sizeof *file);
    size_t before = problems->count;

    file->path = need_text(path);
    file->json = json;
    fields_preset(show_file_fields, file);
    file->watch.raise_after_s = file->watch.clear_after_s = -1;
    if (where_check_kind(&where, "show_format"))
        fields_read(show_file_fields, &where, file, NULL);
    if (problems->count == before)
        return file;
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
    fields_release(show_file_fields, file);
    free(file->path);
    json_free(file->json);
    free(file);
}

bool
show_file_has_chat(const struct show_file *file)
{
    return file->tell.chat.url_env || file->tell.chat.url_file;
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
    struct where where = where_file(file->path, file->json, problems);
    struct where desk = where_key(&where, "desk");
    size_t before = problems->count;
    struct show *show =
        check_set_show(check_set_all, counts->of[INDEX_INPUT], counts->of[INDEX_MIX]);

    set_holds(show, &file->watch);
    fields_read_turn(show_file_fields, TURN_PARTS, &where, show, NULL);
    fields_read_turn(show_file_fields, TURN_NAMES, &where, show, NULL);
    if (desk.json)
        fields_read_turn(desk_fields, TURN_NAMES, &desk, show, NULL);
    fields_read_turn(show_file_fields, TURN_CONTENTS, &where, show, NULL);
    if (problems->count == before)
        return show;
    show_free(show);
    return NULL;
}

bool
show_file_put_plan(const struct show_file *file, struct show *show, const struct json *plan,
                   const struct desk_counts *counts, struct problems *problems)
{
    show->stage = plan_file_from_json(plan, file->stage, problems);
    return show->stage && plan_file_fits(show->stage, counts, file->stage, problems) &&
           plan_file_find_ears(show->stage, show, file->stage, problems);
}
