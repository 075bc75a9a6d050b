/* SPDX-License-Identifier: MIT */
/* The page in one sentence, and its worst finding in a few words: what is seen before all else.
 */
#ifndef GAINWARDEN_HEADLINE_H
#define GAINWARDEN_HEADLINE_H

#include "report/findings.h"

enum { HEADLINE_SIZE = 300 };

/* "Not ready: mix 8 Drums IEM has no limiter, and 2 more to stop.", "Ready: nothing to stop or fix.", "Not judged: 212
 * of 1403 values were not heard." */
const char *headline(const struct report_findings *findings, char says[HEADLINE_SIZE]);

/* "Not judged: 212 of 1403 values were not heard."; `unknown`: checks that lack something else. */
const char *headline_not_judged(const struct desk *desk, size_t unknown, char says[HEADLINE_SIZE]);

/* "everything heard (1403 values)", "1191 of 1403 values heard" */
enum { HEADLINE_HEARD_SIZE = 80 };
const char *headline_heard(const struct desk *desk, char says[HEADLINE_HEARD_SIZE]);

#endif
