/* SPDX-License-Identifier: MIT */
#include "loop/service.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <systemd/sd-daemon.h>
#include <systemd/sd-journal.h>

#include "core/need.h"

enum { FIELDS_MOST = 16 };

bool
service_is_one(void)
{
    const char *socket = getenv("NOTIFY_SOCKET");

    return socket && *socket;
}

int64_t
service_alive_every_ms(void)
{
    uint64_t limit_us = 0;

    /* half of it, as sd_watchdog_enabled(3) advises */
    return sd_watchdog_enabled(0, &limit_us) > 0 ? (int64_t)(limit_us / 2000) : 0;
}

void
service_ready(void)
{
    sd_notify(0, "READY=1");
}

void
service_reloading(int64_t monotonic_us)
{
    sd_notifyf(0, "RELOADING=1\nMONOTONIC_USEC=%" PRId64, monotonic_us);
}

void
service_stopping(void)
{
    sd_notify(0, "STOPPING=1");
}

void
service_alive(void)
{
    sd_notify(0, "WATCHDOG=1");
}

void
service_status(const char *line)
{
    sd_notifyf(0, "STATUS=%s", line);
}

/* JOURNAL_STREAM names the stream that standard output or error was connected to: it may have been
 * redirected since (systemd.exec(5)). */
bool
service_has_journal(void)
{
    const char *stream = getenv("JOURNAL_STREAM");
    struct stat file;
    uintmax_t device, inode;
    char rest;

    if (!stream || sscanf(stream, "%ju:%ju%c", &device, &inode, &rest) != 2)
        return false;
    return fstat(STDOUT_FILENO, &file) == 0 && (uintmax_t)file.st_dev == device &&
           (uintmax_t)file.st_ino == inode;
}

/* "NAME=value", to free(). */
static char *
join(const char *name, const char *value)
{
    size_t size = strlen(name) + strlen(value) + 2;
    char *text = need_memory(size, 1);

    snprintf(text, size, "%s=%s", name, value);
    return text;
}

void
service_journal(int priority, const char *message, const char *const *fields)
{
    struct iovec parts[FIELDS_MOST];
    char level[2] = {(char)('0' + priority), '\0'};
    int count = 0;

    parts[count++].iov_base = join("PRIORITY", level);
    parts[count++].iov_base = join("MESSAGE", message);
    for (; *fields && count < FIELDS_MOST; fields += 2)
        parts[count++].iov_base = join(fields[0], fields[1]);
    for (int i = 0; i < count; i++)
        parts[i].iov_len = strlen(parts[i].iov_base);
    sd_journal_sendv(parts, count);
    for (int i = 0; i < count; i++)
        free(parts[i].iov_base);
}
