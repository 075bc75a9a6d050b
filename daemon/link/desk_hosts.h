/* SPDX-License-Identifier: MIT */
/* Where the desks of this process are: every address that a look-up of their names gave. Nothing
 * but their links may send there, on whatever port.
 *
 * Two addresses are one host when they are the same (IPv4 also in its IPv6 form), or both this
 * machine's: any of 127.0.0.0/8, ::1, the unspecified ones, and those of its interfaces. A desk on
 * this machine may hear on all of them.
 */
#ifndef GAINWARDEN_DESK_HOSTS_H
#define GAINWARDEN_DESK_HOSTS_H

#include <stdbool.h>
#include <sys/socket.h>

struct desk_hosts;

/* For so many desks, of which nobody knows yet where they are. */
struct desk_hosts *desk_hosts_new(int desks);
void desk_hosts_free(struct desk_hosts *hosts);

/* Desk number `desk`, from 0, goes by another name now. */
void desk_hosts_forget(struct desk_hosts *hosts, int desk);

/* A look-up gave these, ended by NULL. Those of earlier ones stay: a name with several addresses
 * gives now one, now another first. */
void desk_hosts_add(struct desk_hosts *hosts, int desk, const struct sockaddr *const *addresses);

/* Whether it is known of every desk where it is. */
bool desk_hosts_all_known(const struct desk_hosts *hosts);

/* Whether a desk is there, or could hear what is sent there: also a group or broadcast address. */
bool desk_hosts_reached_by(const struct desk_hosts *hosts, const struct sockaddr *address);

/* Who is told when any of this changed; it stays the caller's, and is in the list until it is
 * taken out. */
struct desk_hosts_listener {
    void (*changed)(void *context);
    void *context;
    struct desk_hosts_listener *next;
};
void desk_hosts_listen(struct desk_hosts *hosts, struct desk_hosts_listener *listener);
void desk_hosts_unlisten(struct desk_hosts *hosts, struct desk_hosts_listener *listener);

/* Whether two addresses are one host, and whether an address is that of many. */
bool desk_hosts_are_one(const struct sockaddr *one, const struct sockaddr *other);
bool desk_hosts_is_group(const struct sockaddr *address);

#endif
