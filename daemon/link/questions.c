/* SPDX-License-Identifier: MIT */
#include "link/questions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/queue.h>

#include "core/need.h"
#include "link/pacer.h"

enum progress { PROGRESS_ANSWERED, PROGRESS_WAITING, PROGRESS_UNDER_WAY, PROGRESS_GAVE_UP };

struct question {
    uint32_t entry, place;
    uint32_t first_answer; /* into `came` */
    uint32_t answers;      /* how many places one question brings */
    uint32_t missing;      /* of them, in this reading */
    int64_t sent_us;
    int64_t heard_us;           /* the first of them came; -1: none yet */
    uint64_t order;             /* of sending */
    TAILQ_ENTRY(question) next; /* in the list of its progress */
    enum progress progress;
    int tries;
};

enum {
    PASSED_BY = 3, /* a question is passed over when so many later ones were answered */
    TRIES_LEAST = 3
};

/* Giving up on an answer that only chance kept away shall happen in one reading of a thousand. */
static const double mistakes = 1e-3;

TAILQ_HEAD(list, question);

struct questions {
    const struct profile *profile;
    struct question *all;
    size_t count;
    size_t *entry_first;            /* first question of each entry */
    bool *came;                     /* one for each answer, in this reading */
    struct list waiting, under_way; /* under way: in order of sending */
    int under_way_count;
    struct pacer pacer;
    struct question yardstick;  /* a copy of one that was answered; no place in `all` */
    uint64_t answered, needed;  /* questions, and the tries they took */
    uint64_t sent;              /* how many left */
    uint64_t latest[PASSED_BY]; /* orders of the latest ones that were answered, rising */
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
    if (progress == PROGRESS_WAITING)
        TAILQ_INSERT_TAIL(&questions->waiting, question, next);
    if (progress == PROGRESS_UNDER_WAY) {
        TAILQ_INSERT_TAIL(&questions->under_way, question, next);
        questions->under_way_count++;
    }
}

static void
lay_out(struct questions *questions)
{
    const struct profile *profile = questions->profile;
    struct question *question = questions->all;
    size_t answer = 0;

    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];
        size_t places = entry->asks ? entry_places(profile, entry, entry->asked_count) : 0;
        size_t answers = entry_places(profile, entry, entry->variable_count);

        questions->entry_first[i] = (size_t)(question - questions->all);
        for (size_t place = 0; place < places; place++, question++) {
            question->entry = (uint32_t)i;
            question->place = (uint32_t)place;
            question->answers = (uint32_t)(answers / places);
            question->first_answer = (uint32_t)answer;
            answer += question->answers;
        }
    }
}

struct questions *
questions_new(const struct profile *profile)
{
    struct questions *questions = need_memory(1, sizeof *questions);
    size_t answers = 0;

    questions->profile = profile;
    TAILQ_INIT(&questions->waiting);
    TAILQ_INIT(&questions->under_way);
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];

        if (!entry->asks)
            continue;
        questions->count += entry_places(profile, entry, entry->asked_count);
        answers += entry_places(profile, entry, entry->variable_count);
    }
    questions->all = need_memory(questions->count + 1, sizeof *questions->all);
    questions->entry_first = need_memory(profile->entry_count + 1, sizeof *questions->entry_first);
    questions->came = need_memory(answers + 1, sizeof *questions->came);
    lay_out(questions);
    questions->figures.questions = questions->count;
    return questions;
}

void
questions_free(struct questions *questions)
{
    if (!questions)
        return;
    free(questions->all);
    free(questions->entry_first);
    free(questions->came);
    free(questions);
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
    for (size_t i = 0; i < questions->count; i++) {
        struct question *question = &questions->all[i];

        question->tries = 0;
        question->missing = question->answers;
        memset(&questions->came[question->first_answer], 0,
               question->answers * sizeof *questions->came);
        set_progress(questions, question, PROGRESS_WAITING);
    }
}

/* Whether chance alone may have kept all answers away, by how many tries the others took. */
static bool
may_be_chance(const struct questions *questions, const struct question *question)
{
    double loss =
        (double)(questions->needed - questions->answered + 1) / (double)(questions->needed + 1);

    return question->tries < TRIES_LEAST ||
           pow(loss, question->tries) * (double)questions->count > mistakes;
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
        questions->figures.never_came++;
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

    if (!oldest || yardstick->answers == 0 || yardstick->progress != PROGRESS_ANSWERED ||
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
count_try(struct questions *questions, struct question *question)
{
    if (question == &questions->yardstick) {
        question->tries = 1;
        questions->figures.yardsticks++;
        return;
    }
    if (question->tries++ > 0)
        questions->figures.asked_again++;
    else
        questions->figures.asked++;
}

bool
questions_next(struct questions *questions, int64_t now_us, size_t *entry, size_t *place)
{
    struct question *question;

    if (next_to_send(questions, now_us, &question) != 0)
        return false;
    pacer_sent(&questions->pacer);
    count_try(questions, question);
    question->sent_us = now_us;
    question->heard_us = -1;
    question->order = ++questions->sent;
    set_progress(questions, question, PROGRESS_UNDER_WAY);
    *entry = question->entry;
    *place = question->place;
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
    if (question->answers != 1 || question->tries == 0 || questions->yardstick.answers > 0)
        return;
    questions->yardstick = *question;
    questions->yardstick.progress = PROGRESS_ANSWERED;
}

bool
questions_answered(struct questions *questions, size_t entry, size_t place, int64_t now_us)
{
    struct question *question;
    bool *came;

    if (!questions->profile->entries[entry].asks)
        return false;
    question = &questions->all[questions->entry_first[entry]];
    question += place / question->answers;
    if (questions->yardstick.progress == PROGRESS_UNDER_WAY &&
        questions->yardstick.entry == entry && questions->yardstick.place == question->place) {
        note_answer(questions, &questions->yardstick, now_us);
        set_progress(questions, &questions->yardstick, PROGRESS_ANSWERED);
        questions->answered++;
        questions->needed++;
        return true; /* there is room for another */
    }
    came = &questions->came[question->first_answer + place % question->answers];
    if (question->missing == 0 || *came)
        return false;
    *came = true;
    note_answer(questions, question, now_us);
    if (--question->missing > 0)
        return false;
    if (question->progress == PROGRESS_GAVE_UP) /* late, yet it came */
        questions->figures.never_came--;
    /* a push may answer a question before it is put; then it need not be */
    questions->figures.heard++;
    if (question->tries > 0) {
        questions->answered++;
        questions->needed += (uint64_t)question->tries;
    }
    keep_yardstick(questions, question);
    set_progress(questions, question, PROGRESS_ANSWERED);
    return true;
}

bool
questions_done(const struct questions *questions)
{
    return !TAILQ_FIRST(&questions->waiting) && !TAILQ_FIRST(&questions->under_way);
}

int64_t
questions_wait_us(struct questions *questions, int64_t now_us)
{
    const struct question *lost = next_to_lose(questions);
    struct question *next;
    int64_t wait_us = -1, room_us;

    if (lost)
        wait_us = lost_us(questions, lost) > now_us ? lost_us(questions, lost) - now_us : 0;
    room_us = next_to_send(questions, now_us, &next);
    return room_us >= 0 && (wait_us < 0 || room_us < wait_us) ? room_us : wait_us;
}

struct question_figures
questions_figures(const struct questions *questions)
{
    return questions->figures;
}
