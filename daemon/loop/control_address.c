/* SPDX-License-Identifier: MIT */
#define _GNU_SOURCE /* O_PATH */
#include "loop/control_address.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/places.h"

/* The folder of the path, open; -1 with errno set. O_PATH needs no right to list it. */
static int
open_folder(const char *path, const char *slash)
{
    char folder[PLACES_SIZE];

    if (snprintf(folder, sizeof folder, "%.*s", (int)(slash - path), path) >= PLACES_SIZE) {
        errno = ENAMETOOLONG;
        return -1;
    }
    return open(folder, O_PATH | O_DIRECTORY | O_CLOEXEC);
}

/* By the way through proc(5) to what this process has open: nobody's working folder changes. */
static bool
name_in_folder(struct control_address *address, const char *path)
{
    const size_t size = sizeof address->name.sun_path;
    const char *slash = strrchr(path, '/');

    errno = ENAMETOOLONG;
    if (!slash || (address->folder = open_folder(path, slash)) < 0)
        return false;
    if ((size_t)snprintf(address->name.sun_path, size, "/proc/self/fd/%d%s", address->folder,
                         slash) < size)
        return true;
    control_address_release(address);
    errno = ENAMETOOLONG;
    return false;
}

bool
control_address_init(struct control_address *address, const char *path, struct problems *problems)
{
    *address = (struct control_address){.name = {.sun_family = AF_UNIX}, .folder = -1};
    if (strlen(path) < sizeof address->name.sun_path) {
        strcpy(address->name.sun_path, path);
        return true;
    }
    if (name_in_folder(address, path))
        return true;
    problems_add(problems, "%s: cannot be a socket: %s; --keep names another folder", path,
                 strerror(errno));
    return false;
}

void
control_address_release(struct control_address *address)
{
    if (address->folder >= 0)
        close(address->folder);
    address->folder = -1;
}
