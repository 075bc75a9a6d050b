/* SPDX-License-Identifier: MIT */
/* The desk as it was taken for set up, which protection-lost compares with, kept as a saved desk
 * beside what was told: what was lost before a crash is lost after it too. It counts for the same
 * evening, and for as long as something that was lost since then is not back.
 */
#ifndef GAINWARDEN_WATCH_ANCHOR_H
#define GAINWARDEN_WATCH_ANCHOR_H

struct watch_desk;

/* Keeps what the desk is like now. */
void anchor_save(struct watch_desk *desk);

/* Gives the engine what was kept this evening; what is wrong with it is told on standard error. */
void anchor_restore(struct watch_desk *desk);

#endif
