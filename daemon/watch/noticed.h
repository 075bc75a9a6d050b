/* SPDX-License-Identifier: MIT */
/* "Seen": which findings somebody has acknowledged, so that the others need not look. It holds back
 * nothing. It lapses when the finding closes or gets worse: what was not seen yet is news.
 */
#ifndef GAINWARDEN_WATCH_NOTICED_H
#define GAINWARDEN_WATCH_NOTICED_H

#include "base/json.h"
#include "engine/engine.h"

struct noticed;

/* Who has seen it, when, and how bad it was told to be then. */
struct noticed_by {
    char by[SHOW_NAME_SIZE];
    double at_s; /* since 1970 */
    enum weight weight;
    double severity;
};

/* Of the slots of an engine of so many; nothing is seen. */
struct noticed *noticed_new(size_t slots);
void noticed_free(struct noticed *noticed);

/* Somebody of this name has seen it now, which is open. */
void noticed_add(struct noticed *noticed, const struct finding *finding, const char *by);

/* NULL: nobody has, or it lapsed. */
const struct noticed_by *noticed_of(const struct noticed *noticed, const struct finding *finding);

/* {"by", "at": "21:37"} or null; ", seen by Mo" or "". */
struct json *noticed_json(const struct noticed *noticed, const struct finding *finding);
enum { NOTICED_TEXT_SIZE = SHOW_NAME_SIZE + 12 };
const char *noticed_text(const struct noticed *noticed, const struct finding *finding,
                         char text[NOTICED_TEXT_SIZE]);

/* Makes a name of what somebody typed: no longer than a name, nothing in it but what can be read.
 * False when nothing is left. */
bool noticed_name(const char *typed, char name[SHOW_NAME_SIZE]);

/* ---- over a restart, or other files ---- */

/* An earlier watch kept this of the slot; nothing in it is trusted. */
void noticed_had(struct noticed *noticed, size_t slot, const struct json *json);

/* The finding was told of before the restart, first then: what an earlier watch kept counts where it
 * was seen after that, as bad as it was told to be. */
void noticed_goes_on(struct noticed *noticed, const struct finding *finding, double since_s);

/* Lets go of what nobody said so of. */
void noticed_end_restore(struct noticed *noticed);

/* The same as an earlier watch keeps it, into the object. */
void noticed_keep(const struct noticed_by *by, struct json *json);

/* The slots are those of another engine from now on. */
void noticed_carry(struct noticed *noticed, const struct engine *from, const struct engine *to);

#endif
