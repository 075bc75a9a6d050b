/* SPDX-License-Identifier: MIT */
#include "show/approved.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/text_format.h"
#include "base/whole_file.h"
#include "change/difference.h"
#include "core/need.h"

/* PATH.approved.json for PATH.json, to free(). */
static char *
beside(const char *show)
{
    static const char ending[] = ".json";
    size_t length = strlen(show), cut = sizeof ending - 1;

    if (length > cut && strcmp(show + length - cut, ending) == 0)
        length -= cut;
    return text_printed("%.*s.approved.json", (int)length, show);
}

static bool
is_named(const struct session *session, const struct options *options)
{
    return options->approved || (session->file && session->file->approved);
}

char *
approved_path(const struct session *session, const struct options *options)
{
    if (!is_named(session, options))
        return session->file ? beside(session->file->path) : NULL;
    return need_text(options->approved ? options->approved : session->file->approved);
}

struct saved *
approved_read(const struct session *session, const char *path, struct problems *problems)
{
    struct saved *saved = saved_file_read(path, problems);

    if (!saved)
        return NULL;
    if (!saved->approved)
        problems_add(problems, "%s: approved: is missing; the desk was saved, not approved", path);
    else if (saved_file_fits(saved, engine_desk(session->engine), path, problems))
        return saved;
    saved_free(saved);
    return NULL;
}

void
approved_set(struct session *session, struct saved *saved)
{
    if (saved) {
        engine_set_approved(session->engine, saved->desk);
        memcpy(session->approved_at, saved->approved_at, sizeof session->approved_at);
        memcpy(session->approved_by, saved->by, sizeof session->approved_by);
        saved->desk = NULL; /* the engine's now */
    }
    saved_free(saved);
}

bool
approved_attach(struct session *session, const struct options *options, struct problems *problems)
{
    char *path = approved_path(session, options);
    struct stat status;
    bool none =
        !path || (!is_named(session, options) && stat(path, &status) != 0 && errno == ENOENT);

    if (!none)
        approved_set(session, approved_read(session, path, problems));
    free(path);
    return none || problems->count == 0;
}

/* ---- the one before ---- */

/* PATH.N, to free(). */
static char *
numbered(const char *path, int number)
{
    return text_printed("%s.%d", path, number);
}

static bool
is_free(const char *path, int number)
{
    char *name = numbered(path, number);
    struct stat is;
    bool free_name = lstat(name, &is) != 0 && errno == ENOENT;

    free(name);
    return free_name;
}

static bool
move_on(const char *path, int number)
{
    char *from = numbered(path, number), *to = numbered(path, number + 1);
    bool good = rename(from, to) == 0;

    free(from);
    free(to);
    return good;
}

/* PATH.1 is free behind it. */
static bool
make_room(const char *path)
{
    int number = 1;

    while (!is_free(path, number))
        number++;
    while (number > 1)
        if (!move_on(path, --number))
            return false;
    return true;
}

bool
approved_keep_old(const char *path)
{
    char *name, *bytes;
    size_t length;
    struct stat is;
    bool good;

    if (stat(path, &is) != 0)
        return errno == ENOENT;
    bytes = whole_file_read(path, SAVED_FILE_LIMIT, &length);
    name = numbered(path, 1);
    good = bytes && make_room(path) && atomic_file_write(name, bytes, length, 0644);
    free(name);
    free(bytes);
    return good;
}

/* ---- one object ---- */

/* Puts today's value beside the approved ones, whose clock began when they were read. */
static void
take_value(struct desk *approved, const struct desk *desk, enum param_id id, int row, int column,
           int64_t later_ms)
{
    const struct value *value = desk_value(desk, id, row, column);

    if (value->state != VALUE_KNOWN)
        return;
    if (params[id].unit == UNIT_TEXT)
        desk_set_text(approved, id, row, column, desk_text(desk, id, row, column),
                      value->heard_ms + later_ms);
    else
        desk_set(approved, id, row, column, value_last_heard(value), value->heard_ms + later_ms);
}

bool
approved_take(struct saved *saved, const struct desk *desk, struct object object, const char *at,
              int64_t now_ms)
{
    enum index_kind kind = object.input >= 0 ? INDEX_INPUT : INDEX_MIX;
    int row = object.input >= 0 ? object.input : object.mix;
    int64_t elapsed_ms = (clock_parse_time(at) - clock_parse_time(saved->at)) * 1000;

    if (elapsed_ms < 0)
        elapsed_ms = 0;
    for (int i = 0; i < PARAMS; i++) {
        enum param_id id = (enum param_id)i;

        if (params[id].row != kind || !difference_is_setting(id) ||
            desk_supplied(desk, id) != SUPPLY_HEARD)
            continue;
        if (desk_supplied(saved->desk, id) != SUPPLY_HEARD)
            return false;
        for (int column = 0; column < desk_columns(desk, id); column++)
            take_value(saved->desk, desk, id, row, column, elapsed_ms - now_ms);
    }
    memcpy(saved->at, at, sizeof saved->at);
    saved->now_ms = elapsed_ms;
    return true;
}
