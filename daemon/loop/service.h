/* SPDX-License-Identifier: MIT */
/* The only file that knows libsystemd: what a service tells its manager, and the journal. Outside a
 * service all of it does nothing.
 */
#ifndef GAINWARDEN_SERVICE_H
#define GAINWARDEN_SERVICE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Whether a manager listens. */
bool service_is_one(void);

/* How often service_alive() must be called, ms; 0: nobody waits for it. */
int64_t service_alive_every_ms(void);

/* It runs; it takes new files (ended by service_ready()); it ends; it still lives. */
void service_ready(void);
void service_reloading(int64_t monotonic_us);
void service_stopping(void);
void service_alive(void);

/* One line of what it does, for whoever asks the manager. */
void service_status(const char *line);

/* Whether what is printed goes to the journal, so that fields can go with it. */
bool service_has_journal(void);

/* One entry of the journal. `priority` as in syslog(3). `fields` are name and value by turns, ended
 * by NULL; names are upper-case and begin with GAINWARDEN_. */
void service_journal(int priority, const char *message, const char *const *fields);

#endif
