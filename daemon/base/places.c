/* SPDX-License-Identifier: MIT */
#include "base/places.h"

#include <ctype.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/fingerprint.h"

void
places_name(const char *show, const char *profile, const char *desk, char name[80])
{
    char *whole = realpath(show ? show : profile, NULL);
    const char *path = whole ? whole : show ? show : profile;
    const char *slash = strrchr(path, '/'), *base = slash ? slash + 1 : path;
    size_t length = strlen(base), used = 0;
    uint64_t hash = fingerprint_add(FINGERPRINT_BEGIN, path);

    if (!show)
        hash = fingerprint_add(hash, desk ? desk : "");
    if (length > 5 && strcmp(base + length - 5, ".json") == 0)
        length -= 5;
    for (size_t i = 0; i < length && used < 48; i++)
        name[used++] = isalnum((unsigned char)base[i]) || base[i] == '_' ? base[i] : '-';
    snprintf(name + used, 80 - used, "-%08lx", (unsigned long)(hash & 0xffffffff));
    free(whole);
}

/* Makes the folder and those above it. */
static bool
make_folders(char *path)
{
    for (char *slash = path + 1;; slash++) {
        char before = *slash;

        if (before != '/' && before != '\0')
            continue;
        *slash = '\0';
        if (mkdir(path, 0700) != 0 && errno != EEXIST)
            return false;
        *slash = before;
        if (before == '\0')
            return true;
    }
}

/* "$VARIABLE" or "$VARIABLE/more" when the variable is set and names no relative path. */
static bool
from_environment(const char *variable, const char *more, char folder[PLACES_SIZE])
{
    const char *value = getenv(variable);

    if (!value || *value != '/')
        return false;
    /* systemd lists several folders between colons: the first is ours */
    return snprintf(folder, PLACES_SIZE, "%.*s%s", (int)strcspn(value, ":"), value, more) <
           PLACES_SIZE;
}

static bool
too_long(const char *folder, struct problems *problems)
{
    problems_add(problems, "this path is too long, --keep names another folder: %s", folder);
    return false;
}

static bool
path_in(const char *folder, const char *name, const char *suffix, char path[PLACES_SIZE],
        struct problems *problems)
{
    if (snprintf(path, PLACES_SIZE, "%s/%s.%s", folder, name, suffix) < PLACES_SIZE)
        return true;
    return too_long(folder, problems);
}

static bool
in_folder(char folder[PLACES_SIZE], const char *name, const char *suffix, char path[PLACES_SIZE],
          struct problems *problems)
{
    if (make_folders(folder))
        return path_in(folder, name, suffix, path, problems);
    problems_add(problems, "%s: cannot be made: %s; --keep names another folder", folder,
                 strerror(errno));
    return false;
}

static bool
find_folder(const char *keep, char folder[PLACES_SIZE], struct problems *problems)
{
    if (keep && strlen(keep) >= PLACES_SIZE)
        return too_long(keep, problems);
    if (keep) {
        strcpy(folder, keep);
    } else if (!from_environment("STATE_DIRECTORY", "", folder) &&
               !from_environment("XDG_STATE_HOME", "/gainwarden", folder) &&
               !from_environment("HOME", "/.local/state/gainwarden", folder)) {
        problems_add(problems, "nowhere to keep what must outlast a restart: name a folder with "
                               "--keep");
        return false;
    }
    return true;
}

bool
places_kept(const char *keep, const char *name, const char *suffix, char path[PLACES_SIZE],
            struct problems *problems)
{
    char folder[PLACES_SIZE];

    return find_folder(keep, folder, problems) && in_folder(folder, name, suffix, path, problems);
}

bool
places_kept_at(const char *keep, const char *name, const char *suffix, char path[PLACES_SIZE],
               struct problems *problems)
{
    char folder[PLACES_SIZE];

    return find_folder(keep, folder, problems) && path_in(folder, name, suffix, path, problems);
}

bool
places_socket(const char *keep, const char *name, char path[PLACES_SIZE], struct problems *problems)
{
    char folder[PLACES_SIZE];

    if (keep || (!from_environment("RUNTIME_DIRECTORY", "", folder) &&
                 !from_environment("XDG_RUNTIME_DIR", "/gainwarden", folder)))
        return places_kept(keep, name, "socket", path, problems);
    return in_folder(folder, name, "socket", path, problems);
}
