/* SPDX-License-Identifier: MIT */
/* The whole desk is asked, once at full pace, and then again and again, slowly: which questions
 * leave when. questions.h says which, speaker.h sends them.
 */
#ifndef GAINWARDEN_READING_H
#define GAINWARDEN_READING_H

#include "link/questions.h"
#include "link/speaker.h"
#include "loop/loop.h"

struct reading;

/* `look` is called when there is something to do: reading_begin() or reading_step().
 * Everything handed in must outlive it. */
struct reading *reading_new(struct loop *loop, const struct profile *profile,
                            struct speaker *speaker, loop_fn *look, void *context);
void reading_free(struct reading *reading);

/* Every question waits. `slow`: in the way of nobody. */
void reading_begin(struct reading *reading, bool slow);

/* Sends what may be sent, and sleeps until there is more to do. True when every question is
 * answered or given up; then it does not sleep. */
bool reading_step(struct reading *reading);

/* True when it was the last answer that its question waited for. */
bool reading_answered(struct reading *reading, size_t entry, size_t place);

/* It is over. The figures of the first one are kept; later ones only keep the model fresh. */
void reading_end(struct reading *reading);

/* It is given up: the desk is lost. */
void reading_stop(struct reading *reading);

bool reading_is_on(const struct reading *reading);

/* How long it has lasted. */
int64_t reading_for_ms(const struct reading *reading);

/* The next look. */
void reading_look_in(struct reading *reading, int64_t ms);

/* Of the first reading, until now while it lasts. */
struct question_figures reading_figures(const struct reading *reading, int64_t *took_ms);

#endif
