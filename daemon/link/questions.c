/* SPDX-License-Identifier: MIT */
#include "link/questions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/queue.h>

#include "core/need.h"
#include "link/pacer.h"
#include "link/stretch.h"

enum progress { PROGRESS_ANSWERED, PROGRESS_WAITING, PROGRESS_UNDER_WAY, PROGRESS_GAVE_UP };

struct question {
    const struct asking *asks; /* NULL: a yardstick that is not there yet */
    uint32_t missing;          /* answers; 0: it waits for none */
    bool of_reading;           /* else it was put alone */
    bool urgent;
    int64_t sent_us;
    int64_t heard_us;           /* the first of them came; -1: none yet */
    uint64_t order;             /* of sending */
    TAILQ_ENTRY(question) next; /* in the list of its progress */
    enum progress progress;
    int tries;
};

enum {
    PASSED_BY = 3, /* a question is passed over when so many later ones were answered */
    TRIES_LEAST = 3,
    REMEMBERED = 4096 /* tries, by which the loss is known: an hour ago it was another */
};

/* Giving up on an answer that only chance kept away shall happen in one reading of a thousand. */
static const double mistakes = 1e-3;

TAILQ_HEAD(list, question);

struct questions {
    const struct profile *profile;
    struct layout layout;
    struct question *all;
    size_t count;
    bool *came;                     /* one for each answer that is waited for */
    struct list waiting, under_way; /* under way: in order of sending */
    int under_way_count;
    struct pacer pacer;
    struct question yardstick;  /* a copy of one that was answered; no place in `all` */
    uint64_t answered, needed;  /* questions, and the tries they took */
    uint64_t sent;              /* how many left */
    uint64_t latest[PASSED_BY]; /* orders of the latest ones that were answered, rising */
    size_t left;                /* in the reading, neither answered nor given up */
    size_t fresh;               /* of those, that did not leave yet */
    struct stretch stretch;     /* of those */
    double per_second;          /* never more than this */
    struct question_figures figures;
};

static void
set_progress(struct questions *questions, struct question *question, enum progress progress)
{
    if (question->progress == PROGRESS_WAITING)
        TAILQ_REMOVE(&questions->waiting, question, next);
    if (question->progress == PROGRESS_UNDER_WAY) {
        TAILQ_REMOVE(&questions->under_way, question, next);
        questions->under_way_count--;
    }
    question->progress = progress;
    if (progress == PROGRESS_WAITING && question->urgent)
        TAILQ_INSERT_HEAD(&questions->waiting, question, next);
    else if (progress == PROGRESS_WAITING)
        TAILQ_INSERT_TAIL(&questions->waiting, question, next);
    if (progress == PROGRESS_UNDER_WAY) {
        TAILQ_INSERT_TAIL(&questions->under_way, question, next);
        questions->under_way_count++;
    }
}

struct questions *
questions_new(const struct profile *profile)
{
    struct questions *questions = need_memory(1, sizeof *questions);

    questions->profile = profile;
    questions->layout = layout_of(profile);
    TAILQ_INIT(&questions->waiting);
    TAILQ_INIT(&questions->under_way);
    questions->count = questions->layout.count;
    questions->all = need_memory(questions->count + 1, sizeof *questions->all);
    for (size_t i = 0; i < questions->count; i++)
        questions->all[i].asks = &questions->layout.all[i];
    questions->came = need_memory(questions->layout.answers + 1, sizeof *questions->came);
    questions->figures.questions = questions->count;
    return questions;
}

void
questions_free(struct questions *questions)
{
    if (!questions)
        return;
    layout_release(&questions->layout);
    free(questions->all);
    free(questions->came);
    free(questions);
}

const struct layout *
questions_layout(const struct questions *questions)
{
    return &questions->layout;
}

/* ---- what is asked ---- */

/* From now on all its answers are missing. */
static void
expect(struct questions *questions, struct question *question)
{
    question->missing = question->asks->answers;
    memset(&questions->came[question->asks->first_answer], 0,
           question->missing * sizeof *questions->came);
}

static void
begin_all(struct questions *questions, bool protecting)
{
    for (size_t i = 0; i < questions->count; i++) {
        struct question *question = &questions->all[i];

        if (questions->layout.protects[i] != protecting)
            continue;
        question->tries = 0;
        question->of_reading = true;
        question->urgent = false;
        expect(questions, question);
        set_progress(questions, question, PROGRESS_WAITING);
    }
}

void
questions_begin(struct questions *questions, int64_t now_us, double per_second)
{
    const struct pace *pace = &questions->profile->pace;
    int window = pace->in_flight > 1 ? pace->in_flight - 1 : 1; /* one place is the yardstick's */
    struct pacer_limits limits = {window, per_second, (int64_t)pace->answer_within_ms * 1000};

    questions->figures = (struct question_figures){.questions = questions->count};
    pacer_init(&questions->pacer, limits, now_us);
    if (questions->yardstick.progress == PROGRESS_UNDER_WAY)
        set_progress(questions, &questions->yardstick, PROGRESS_ANSWERED);
    questions->yardstick = (struct question){0};
    questions->sent = questions->answered = questions->needed = 0;
    memset(questions->latest, 0, sizeof questions->latest);
    questions->left = questions->fresh = questions->count;
    stretch_begin(&questions->stretch, now_us);
    questions->per_second = per_second;
    begin_all(questions, true);
    begin_all(questions, false);
}

bool
questions_put(struct questions *questions, size_t number, bool urgent)
{
    struct question *question = &questions->all[number];

    if (question->progress == PROGRESS_WAITING || question->progress == PROGRESS_UNDER_WAY)
        return false;
    question->tries = 0;
    question->missing = 0;
    question->of_reading = false;
    question->urgent = urgent;
    set_progress(questions, question, PROGRESS_WAITING);
    return true;
}

bool
questions_urgent(const struct questions *questions)
{
    const struct question *first = TAILQ_FIRST(&questions->waiting);

    return first && first->urgent;
}

bool
questions_are_waiting(const struct questions *questions)
{
    return TAILQ_FIRST(&questions->waiting);
}

/* One question of the reading needs not leave for the first time any more. */
static void
note_fresh(struct questions *questions, int64_t now_us)
{
    if (--questions->fresh == 0)
        stretch_end(&questions->stretch, now_us);
}

/* ---- what is lost ---- */

double
questions_loss(const struct questions *questions)
{
    return (double)(questions->needed - questions->answered + 1) / (double)(questions->needed + 1);
}

static void
note_tries(struct questions *questions, int tries)
{
    questions->answered++;
    questions->needed += (uint64_t)tries;
    if (questions->needed <= REMEMBERED)
        return;
    questions->answered /= 2;
    questions->needed /= 2;
}

/* Whether chance alone may have kept all answers away, by how many tries the others took. */
static bool
may_be_chance(const struct questions *questions, const struct question *question)
{
    return question->tries < TRIES_LEAST ||
           pow(questions_loss(questions), question->tries) * (double)questions->count > mistakes;
}

static void
lose(struct questions *questions, struct question *question)
{
    if (question == &questions->yardstick) {
        if (question->order >= questions->latest[0]) /* else later ones were answered */
            pacer_stalled(&questions->pacer);
        set_progress(questions, question, PROGRESS_ANSWERED);
        questions->needed++; /* a try that took nothing home */
        return;
    }
    pacer_lost(&questions->pacer);
    if (question->tries < questions->profile->pace.tries && may_be_chance(questions, question)) {
        set_progress(questions, question, PROGRESS_WAITING);
    } else {
        set_progress(questions, question, PROGRESS_GAVE_UP);
        questions->left -= question->of_reading;
        questions->figures.never_came += question->of_reading;
    }
}

/* When the question is lost unless it is answered. One that brings many answers is under way as
 * long as they come. */
static int64_t
lost_us(const struct questions *questions, const struct question *question)
{
    int64_t since_us = question->heard_us >= 0 ? question->heard_us : question->sent_us;
    bool passed = question->order < questions->latest[0];

    return since_us + (passed ? pacer_passed_us(&questions->pacer)
                              : pacer_timeout_us(&questions->pacer, question->tries));
}

/* The first one to be lost, or NULL. They stand in order of sending, and nobody's time is shorter
 * than a first try's: behind one of those that was not passed over none is due earlier. */
static struct question *
next_to_lose(const struct questions *questions)
{
    struct question *next = TAILQ_FIRST(&questions->under_way);

    for (struct question *at = next; at; at = TAILQ_NEXT(at, next)) {
        if (lost_us(questions, at) < lost_us(questions, next))
            next = at;
        if (at->order >= questions->latest[0] && at->tries == 1 && at->heard_us < 0)
            break;
    }
    return next;
}

void
questions_expire(struct questions *questions, int64_t now_us)
{
    struct question *question;

    while ((question = next_to_lose(questions)) && lost_us(questions, question) <= now_us)
        lose(questions, question);
}

/* The oldest question under way that was not passed over, or NULL. */
static const struct question *
oldest_waited_for(const struct questions *questions)
{
    const struct question *question = TAILQ_FIRST(&questions->under_way);

    while (question && question->order < questions->latest[0])
        question = TAILQ_NEXT(question, next);
    return question;
}

/* Where a question is overdue and no later one was answered either, one that is known to be
 * answered is put beside it until it was passed over: its answers tell that the desk is there, that
 * the others have none, and what the network loses. How long until then; -1: never, as things are.
 */
static int64_t
yardstick_wait_us(const struct questions *questions, int64_t now_us)
{
    const struct question *yardstick = &questions->yardstick;
    const struct question *oldest = oldest_waited_for(questions);
    int64_t due_us;

    if (!oldest || !yardstick->asks || yardstick->progress != PROGRESS_ANSWERED ||
        questions->profile->pace.in_flight == 1)
        return -1;
    due_us = (oldest->heard_us >= 0 ? oldest->heard_us : oldest->sent_us) +
             pacer_overdue_us(&questions->pacer);
    return due_us > now_us ? due_us - now_us : 0;
}

/* How long until something may be sent, -1 when nothing; the question. The yardstick has a place of
 * its own beside the window. */
static int64_t
next_to_send(struct questions *questions, int64_t now_us, struct question **question)
{
    int beside = questions->yardstick.progress == PROGRESS_UNDER_WAY;
    int64_t wait_us = yardstick_wait_us(questions, now_us);
    int64_t room_us = -1;

    *question = &questions->yardstick;
    if (wait_us == 0)
        return pacer_wait_us(&questions->pacer, 0, now_us);
    if (TAILQ_FIRST(&questions->waiting))
        room_us = pacer_wait_us(&questions->pacer, questions->under_way_count - beside, now_us);
    if (room_us < 0 || (wait_us >= 0 && wait_us < room_us))
        return wait_us;
    *question = TAILQ_FIRST(&questions->waiting);
    return room_us;
}

static void
count_try(struct questions *questions, struct question *question, int64_t now_us)
{
    bool first = question->tries++ == 0;

    if (question == &questions->yardstick) {
        question->tries = 1;
        questions->figures.yardsticks++;
        return;
    }
    if (first && question->missing == 0)
        expect(questions, question);
    if (!question->of_reading)
        return;
    questions->figures.asked_again += !first;
    questions->figures.asked += first;
    if (first)
        note_fresh(questions, now_us);
}

bool
questions_next(struct questions *questions, int64_t now_us, size_t *entry, size_t *place)
{
    struct question *question;

    if (next_to_send(questions, now_us, &question) != 0)
        return false;
    pacer_sent(&questions->pacer);
    question->sent_us = now_us;
    question->heard_us = -1;
    question->order = ++questions->sent;
    if (questions->fresh > 0)
        stretch_sent(&questions->stretch, now_us);
    count_try(questions, question, now_us);
    set_progress(questions, question, PROGRESS_UNDER_WAY);
    *entry = question->asks->entry;
    *place = question->asks->place;
    return true;
}

/* Keeps the orders of the latest answered ones. */
static void
note_order(struct questions *questions, uint64_t order)
{
    int at = 0;

    while (at < PASSED_BY && questions->latest[at] < order)
        at++;
    if (at == 0)
        return;
    memmove(questions->latest, questions->latest + 1, (size_t)(at - 1) * sizeof *questions->latest);
    questions->latest[at - 1] = order;
}

/* Tells the pacer of a first answer. That of a question asked twice could belong to either. */
static void
note_answer(struct questions *questions, struct question *question, int64_t now_us)
{
    int64_t took_us = now_us - question->sent_us;

    if (question->tries == 0) /* a push */
        return;
    if (question->progress == PROGRESS_WAITING || question->progress == PROGRESS_GAVE_UP) {
        pacer_late(&questions->pacer, took_us);
    } else if (question->heard_us < 0) {
        pacer_answered(&questions->pacer, question->tries == 1 ? took_us : -1, now_us);
        note_order(questions, question->order);
    }
    question->heard_us = now_us;
}

/* A question with one answer will do as yardstick from now on. */
static void
keep_yardstick(struct questions *questions, const struct question *question)
{
    if (question->asks->answers != 1 || question->tries == 0 || questions->yardstick.asks)
        return;
    questions->yardstick = *question;
    questions->yardstick.progress = PROGRESS_ANSWERED;
}

/* All its answers are there. A push may answer a question of a reading before it is put; then it
 * need not be. */
static void
end(struct questions *questions, struct question *question, int64_t now_us)
{
    if (question->tries > 0)
        note_tries(questions, question->tries);
    keep_yardstick(questions, question);
    if (question->of_reading) {
        questions->figures.heard++;
        if (question->progress == PROGRESS_GAVE_UP) /* late, yet it came */
            questions->figures.never_came--;
        else
            questions->left--;
        if (question->tries == 0)
            note_fresh(questions, now_us);
    }
    set_progress(questions, question, PROGRESS_ANSWERED);
}

bool
questions_answered(struct questions *questions, size_t entry, size_t place, int64_t now_us)
{
    struct question *question;
    bool *came;

    if (!questions->profile->entries[entry].asks)
        return false;
    question = &questions->all[layout_number(&questions->layout, entry, place)];
    if (questions->yardstick.progress == PROGRESS_UNDER_WAY &&
        questions->yardstick.asks == question->asks) {
        note_answer(questions, &questions->yardstick, now_us);
        set_progress(questions, &questions->yardstick, PROGRESS_ANSWERED);
        note_tries(questions, 1);
        return true; /* there is room for another */
    }
    came = &questions->came[question->asks->first_answer + place % question->asks->answers];
    if (question->missing == 0 || *came)
        return false;
    *came = true;
    note_answer(questions, question, now_us);
    if (--question->missing > 0)
        return false;
    end(questions, question, now_us);
    return true;
}

bool
questions_done(const struct questions *questions)
{
    return questions->left == 0;
}

int64_t
questions_wait_us(struct questions *questions, int64_t now_us, int64_t hold_us)
{
    const struct question *lost = next_to_lose(questions);
    struct question *next;
    int64_t wait_us = -1, room_us;

    if (lost)
        wait_us = lost_us(questions, lost) > now_us ? lost_us(questions, lost) - now_us : 0;
    room_us = next_to_send(questions, now_us, &next);
    if (room_us >= 0 && room_us < hold_us && !questions_urgent(questions))
        room_us = hold_us;
    return room_us >= 0 && (wait_us < 0 || room_us < wait_us) ? room_us : wait_us;
}

double
questions_per_second(const struct questions *questions)
{
    double fastest = questions->stretch.fastest;

    return fastest > 0 ? fmin(fastest, questions->per_second) : questions->per_second;
}

struct question_figures
questions_figures(const struct questions *questions)
{
    return questions->figures;
}
