/* SPDX-License-Identifier: MIT */
/* Which questions of a profile are to be asked, are under way, were answered, or never were. Pure:
 * it is told the time and what happened, and says what to send next.
 *
 *            may send                 all its answers came
 *   waiting ----------> under way --------------------------> answered
 *      ^                    |
 *      | no answer in time, |  ... as often as the profile's `tries`
 *      +--------------------+----------------------------------> gave up
 *
 * A question is lost when three later ones were answered and it is older than they took, or when
 * its time is over. pacer.h says how fast they leave: never more than `in_flight` are under way,
 * and never more than `per_second` leave in a second. Times are microseconds.
 *
 * A reading asks all of them, those for what protects first. Between readings, or beside one, a
 * single question is put by its number; then only what is heard after it left answers it.
 */
#ifndef GAINWARDEN_QUESTIONS_H
#define GAINWARDEN_QUESTIONS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "link/layout.h"
#include "profile/profile.h"

struct questions;

struct question_figures {
    size_t questions;   /* in one reading of the desk */
    size_t asked;       /* questions sent, first tries only */
    size_t heard;       /* questions answered in full */
    size_t asked_again; /* second and later tries */
    size_t yardsticks;  /* known ones, asked beside others that stayed without an answer */
    size_t never_came;  /* gave up */
};

/* The profile must outlive it. */
struct questions *questions_new(const struct profile *profile);
void questions_free(struct questions *questions);

/* By which they are numbered. */
const struct layout *questions_layout(const struct questions *questions);

/* Starts a reading of the whole desk: every question waits. Figures start at 0. */
void questions_begin(struct questions *questions, int64_t now_us, double per_second);

/* Puts one question: it waits, an urgent one before all others. False when it waits already, or is
 * under way. */
bool questions_put(struct questions *questions, size_t number, bool urgent);

/* The next one to leave is urgent; some question waits. */
bool questions_urgent(const struct questions *questions);
bool questions_are_waiting(const struct questions *questions);

/* Questions that are lost wait again, or are given up. */
void questions_expire(struct questions *questions, int64_t now_us);

/* The next question that may be sent now: its entry, and its place among entry_places(asked_count).
 * It counts as sent. False when none may. */
bool questions_next(struct questions *questions, int64_t now_us, size_t *entry, size_t *place);

/* An answer for a place of the entry, among entry_places(variable_count), was heard. True when it
 * was the last one its question waited for. */
bool questions_answered(struct questions *questions, size_t entry, size_t place, int64_t now_us);

/* Every question of the reading is answered or given up. */
bool questions_done(const struct questions *questions);

/* How long to sleep before questions_expire() or questions_next() has something to do, where only an
 * urgent question may leave within hold_us; -1: nothing is to be done. */
int64_t questions_wait_us(struct questions *questions, int64_t now_us, int64_t hold_us);

/* How many questions left in a second, in the fastest stretch of the reading; never more than it may
 * have. */
double questions_per_second(const struct questions *questions);

/* The share of tries that took nothing home. */
double questions_loss(const struct questions *questions);

struct question_figures questions_figures(const struct questions *questions);

#endif
