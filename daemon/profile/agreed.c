/* SPDX-License-Identifier: MIT */
#include "profile/agreed.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/clock.h"
#include "base/embedded.h"
#include "base/escape.h"
#include "base/fields.h"
#include "base/places.h"
#include "base/whole_file.h"
#include "core/need.h"
#include "profile/sending.h"

enum { FILE_MOST = 256 * 1024, DESK_NAME_SIZE = 100 };

bool
agreed_is_hash(const char *text)
{
    return strlen(text) == SHA256_TEXT_SIZE - 1 &&
           strspn(text, "0123456789abcdef") == SHA256_TEXT_SIZE - 1;
}

/* ---- what ships ---- */

static bool
sends(const struct json *json, const char *hash, struct problems *problems)
{
    struct profile *profile = profile_from_json(json, "built in", problems);
    struct sending sending;
    bool same;

    if (!profile) /* what ships is sound, a test says */
        return false;
    sending_of(profile, &sending);
    same = strcmp(sending.hash, hash) == 0;
    sending_release(&sending);
    profile_free(profile);
    return same;
}

bool
agreed_ships(const char hash[SHA256_TEXT_SIZE])
{
    struct problems problems = {0};
    struct json *all;
    bool found = false;

    all = json_parse(embedded_profiles, strlen(embedded_profiles), "built in", &problems);
    for (const struct json *one = json_first(all); one && !found; one = json_next(one))
        found = sends(one, hash, &problems);
    json_free(all);
    problems_release(&problems);
    return found;
}

/* ---- what is kept ---- */

static bool
find_file(const char *keep, char path[PLACES_SIZE])
{
    struct problems problems = {0};
    bool good;

    good = places_kept(keep, "agreed", "json", path, &problems);
    problems_tell(&problems);
    return good;
}

/* Why what stands in the file is nobody's word; NULL: it is the owner's. */
static const char *
why_not(const struct stat *status)
{
    if (!S_ISREG(status->st_mode))
        return whole_file_why(EINVAL);
    if (status->st_uid != geteuid() && status->st_uid != 0)
        return "it belongs to somebody else";
    if (status->st_mode & (S_IWGRP | S_IWOTH))
        return "others can write to it";
    return status->st_size > FILE_MOST ? "it is too long" : NULL;
}

/* Its text, to free(); NULL, told unless there is none, when nothing in it counts. */
static char *
read_text(const char *path, size_t *length)
{
    int fd = open(path, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    struct stat status;
    const char *why = fd >= 0 && fstat(fd, &status) == 0 ? why_not(&status) : NULL;
    char *text = fd >= 0 && !why ? whole_file_of(fd, FILE_MOST, length) : NULL;

    if (!text && !(fd < 0 && errno == ENOENT))
        fprintf(stderr, "gainwarden: %s: %s; nothing in it counts as agreed\n", path,
                why ? why : strerror(errno));
    if (fd >= 0)
        close(fd);
    return text;
}

static const struct field agreed_fields[] = {
    FIELD_FILE_FORMAT("agreed_format", 1),
    {"agreed", FIELD_LIST, NULL, .need = FIELD_MUST},
    {0},
};

static bool
is_sound(const struct where *where)
{
    struct where list = where_key(where, "agreed");

    if (!fields_check_keys(agreed_fields, where) ||
        !where_check_format(where, "agreed_format", 1) || !where_need(&list, JSON_ARRAY, true))
        return false;
    for (struct where one = where_first(&list); one.json; where_next(&one)) {
        struct where hash = where_key(&list, "hash");

        hash.json = json_get(one.json, "hash");
        if (!where_need(&hash, JSON_STRING, true) || !agreed_is_hash(where_text(&hash))) {
            where_problem(&list, "holds what is no hash");
            return false;
        }
    }
    return true;
}

/* The file's tree; NULL, told unless there is none, when nothing in it counts. */
static struct json *
read_file(const char *path)
{
    struct problems problems = {0};
    size_t length;
    char *text = read_text(path, &length);
    struct where where;
    struct json *json;

    if (!text)
        return NULL;
    json = json_parse(text, length, path, &problems);
    where = where_file(path, json, &problems);
    if (json && !is_sound(&where)) {
        json_free(json);
        json = NULL;
    }
    problems_tell(&problems);
    if (!json)
        fprintf(stderr, "gainwarden: %s: damaged; nothing in it counts as agreed\n", path);
    free(text);
    return json;
}

static bool
holds(const struct json *json, const char *hash)
{
    for (const struct json *one = json_first(json_get(json, "agreed")); one; one = json_next(one))
        if (strcmp(json_string(json_get(one, "hash")), hash) == 0)
            return true;
    return false;
}

bool
agreed_is_kept(const char *keep, const char hash[SHA256_TEXT_SIZE])
{
    char path[PLACES_SIZE];
    struct json *json = find_file(keep, path) ? read_file(path) : NULL;
    bool kept = json && holds(json, hash);

    json_free(json);
    return kept;
}

static struct json *
new_entry(const char *hash, const char *desk)
{
    struct json *entry = json_new_object();
    char at[CLOCK_SIZE], name[DESK_NAME_SIZE];

    escape_clean(name, sizeof name, desk);
    json_add_string(entry, "hash", hash);
    json_add_string(entry, "desk", name);
    json_add_string(entry, "at", clock_rfc3339(at));
    return entry;
}

/* The newest AGREED_MOST of what stood there and this. */
static struct json *
with_entry(const struct json *before, const char *hash, const char *desk)
{
    struct json *json = json_new_object(), *list = json_new_array();
    const struct json *old = json_get(before, "agreed");
    int skip = json_size(old) - (AGREED_MOST - 1);

    for (const struct json *one = json_first(old); one; one = json_next(one))
        if (skip-- <= 0)
            json_add(list, NULL, json_copy(one));
    json_add(list, NULL, new_entry(hash, desk));
    json_add_number(json, "agreed_format", 1);
    json_add(json, "agreed", list);
    return json;
}

void
agreed_keep(const char *keep, const char hash[SHA256_TEXT_SIZE], const char *desk)
{
    char path[PLACES_SIZE];
    struct json *before, *after;
    char *text;

    if (!find_file(keep, path))
        return;
    before = read_file(path);
    after = with_entry(before, hash, desk);
    text = json_print(after, true);
    if (!atomic_file_write(path, text, strlen(text), 0600))
        fprintf(stderr, "gainwarden: %s: cannot write: %s; it is asked again the next time\n", path,
                strerror(errno));
    free(text);
    json_free(before);
    json_free(after);
}
