/* SPDX-License-Identifier: MIT */
/* When one desk is judged: as soon as something changed, when the watcher has something to do, and
 * never while the desk is being read, since half a desk proves nothing.
 */
#ifndef GAINWARDEN_WATCH_JUDGE_H
#define GAINWARDEN_WATCH_JUDGE_H

#include <stdbool.h>

struct judge;
struct watch_desk;

struct judge *judge_new(struct watch_desk *desk);
void judge_free(struct judge *judge);

/* The desk was read for the first time. */
void judge_begin(struct judge *judge);
bool judge_has_begun(const struct judge *judge);

/* Something changed that is not judged yet. */
bool watch_has_more(const struct watch_desk *desk);

bool watch_may_judge(const struct watch_desk *desk);

/* Judges, tells, keeps, and sleeps until there is more. */
void watch_run(struct watch_desk *desk);

/* Sleeps until the watcher has something to do. */
void watch_sleep(struct watch_desk *desk);

#endif
