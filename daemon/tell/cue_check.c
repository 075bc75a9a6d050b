/* SPDX-License-Identifier: MIT */
#include "tell/cue_check.h"

#include <netdb.h>
#include <string.h>
#include <strings.h>

#include "link/desk_hosts.h"
#include "profile/read_only.h"

/* ---- hosts ---- */

/* The address that the text writes out, in any of the ways in which one can; NULL: it is a name. */
static struct addrinfo *
written_address(const char *host)
{
    struct addrinfo hints = {.ai_socktype = SOCK_DGRAM, .ai_flags = AI_NUMERICHOST};
    struct addrinfo *found = NULL;

    if (strcasecmp(host, "localhost") == 0)
        host = "127.0.0.1";
    return getaddrinfo(host, NULL, &hints, &found) == 0 ? found : NULL;
}

/* Names that differ by letter case and the root's dot are one. */
static bool
is_same_name(const char *one, const char *other)
{
    size_t length = strlen(one), size = strlen(other);

    length -= length > 1 && one[length - 1] == '.';
    size -= size > 1 && other[size - 1] == '.';
    return length == size && strncasecmp(one, other, length) == 0;
}

static bool
is_same_host(const char *one, const char *other)
{
    struct addrinfo *here = written_address(one), *there = written_address(other);
    bool same = here && there ? desk_hosts_are_one(here->ai_addr, there->ai_addr)
                              : is_same_name(one, other);

    if (here)
        freeaddrinfo(here);
    if (there)
        freeaddrinfo(there);
    return same;
}

static bool
is_group(const char *host)
{
    struct addrinfo *found = written_address(host);
    bool group = found && desk_hosts_is_group(found->ai_addr);

    if (found)
        freeaddrinfo(found);
    return group;
}

static void
check_host(const struct cue_settings *cue, const struct cue_desk *desks, size_t count,
           const struct where *where)
{
    struct where here = where_key(where, "host");

    if (is_group(cue->host)) {
        where_problem(&here, "\"%s\" is heard by many; a cue goes to one host", cue->host);
        return;
    }
    for (size_t i = 0; i < count; i++)
        if (desks[i].host && is_same_host(cue->host, desks[i].host)) {
            where_problem(&here,
                          "\"%s\" is where %s is read; nothing else is sent to that host, on "
                          "whatever port",
                          cue->host, desks[i].profile->desk);
            return;
        }
}

/* ---- addresses ---- */

/* What an address of the profile that the cue's may be is for; NULL: there is none. */
static const char *
meaning(const char *address, const struct profile *profile)
{
    static const struct entry none = {0};

    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];

        if (read_only_may_be(address, &entry->answer, entry))
            return "is answered from";
        if (entry->asks && read_only_may_be(address, &entry->ask, entry))
            return "is asked at";
    }
    for (size_t i = 0; i < profile->renewal_count; i++)
        if (read_only_may_be(address, &profile->renewals[i].send, &none))
            return "is renewed at";
    return NULL;
}

static void
check_address(const struct cue_settings *cue, const struct cue_desk *desks, size_t count,
              const struct where *where)
{
    struct where here = where_key(where, "address");
    const char *odd = read_only_ambiguous(cue->address);

    for (size_t i = 0; i < count; i++) {
        const char *what = meaning(cue->address, desks[i].profile);

        if (what) {
            where_problem(&here, "%s may be an address that %s %s; take one of your own",
                          cue->address, desks[i].profile->desk, what);
            return;
        }
    }
    if (odd)
        where_problem(&here,
                      "%s has %s, which a desk may read as another address; take a plain one",
                      cue->address, odd);
}

void
cue_check(const struct show_file *file, const struct cue_desk *desks, size_t count,
          struct problems *problems)
{
    struct where where = where_file(file ? file->path : "", NULL, problems);
    struct where tell = where_key(&where, "tell"), osc = where_key(&tell, "osc");

    if (!file || !file->tell.cue.host)
        return;
    check_host(&file->tell.cue, desks, count, &osc);
    check_address(&file->tell.cue, desks, count, &osc);
}
