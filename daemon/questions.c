#include "questions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum state { STATE_ANSWERED, STATE_WAITING, STATE_UNDER_WAY, STATE_GAVE_UP };

struct question {
    size_t entry, place;
    size_t first_answer; /* into `came` */
    size_t answers;      /* how many places one question brings */
    size_t missing;      /* of them, in this reading */
    int64_t sent_ms;
    struct question *before, *after; /* in the list of its state */
    enum state state;
    int tries;
};

struct list {
    struct question *first, *last;
};

struct questions {
    const struct profile *profile;
    struct question *all;
    size_t count;
    size_t *entry_first;            /* first question of each entry */
    bool *came;                     /* one for each answer, in this reading */
    struct list waiting, under_way; /* under way: in order of sending */
    int under_way_count;
    double per_second, burst, tokens;
    int64_t tokens_ms; /* when `tokens` was right */
    struct question_figures figures;
};

static void
list_remove(struct list *list, struct question *question)
{
    if (question->before)
        question->before->after = question->after;
    else
        list->first = question->after;
    if (question->after)
        question->after->before = question->before;
    else
        list->last = question->before;
}

static void
list_append(struct list *list, struct question *question)
{
    question->before = list->last;
    question->after = NULL;
    if (list->last)
        list->last->after = question;
    else
        list->first = question;
    list->last = question;
}

static void
set_state(struct questions *questions, struct question *question, enum state state)
{
    if (question->state == STATE_WAITING)
        list_remove(&questions->waiting, question);
    if (question->state == STATE_UNDER_WAY) {
        list_remove(&questions->under_way, question);
        questions->under_way_count--;
    }
    question->state = state;
    if (state == STATE_WAITING)
        list_append(&questions->waiting, question);
    if (state == STATE_UNDER_WAY) {
        list_append(&questions->under_way, question);
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
            question->entry = i;
            question->place = place;
            question->answers = answers / places;
            question->first_answer = answer;
            answer += question->answers;
        }
    }
}

struct questions *
questions_new(const struct profile *profile)
{
    struct questions *questions = calloc(1, sizeof *questions);
    size_t answers = 0;

    if (!questions)
        return NULL;
    questions->profile = profile;
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];

        if (!entry->asks)
            continue;
        questions->count += entry_places(profile, entry, entry->asked_count);
        answers += entry_places(profile, entry, entry->variable_count);
    }
    questions->all = calloc(questions->count + 1, sizeof *questions->all);
    questions->entry_first = calloc(profile->entry_count + 1, sizeof *questions->entry_first);
    questions->came = calloc(answers + 1, sizeof *questions->came);
    if (!questions->all || !questions->entry_first || !questions->came) {
        questions_free(questions);
        return NULL;
    }
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
questions_begin(struct questions *questions, int64_t now_ms, double per_second)
{
    questions->figures = (struct question_figures){.questions = questions->count};
    questions->per_second = per_second;
    questions->burst = fmax(1, per_second / 100);
    questions->tokens = questions->burst;
    questions->tokens_ms = now_ms;
    for (size_t i = 0; i < questions->count; i++) {
        struct question *question = &questions->all[i];

        question->tries = 0;
        question->missing = question->answers;
        memset(&questions->came[question->first_answer], 0,
               question->answers * sizeof *questions->came);
        set_state(questions, question, STATE_WAITING);
    }
}

void
questions_expire(struct questions *questions, int64_t now_ms)
{
    int64_t before_ms = now_ms - questions->profile->pace.answer_within_ms;

    while (questions->under_way.first && questions->under_way.first->sent_ms <= before_ms) {
        struct question *question = questions->under_way.first;

        if (question->tries < questions->profile->pace.tries) {
            set_state(questions, question, STATE_WAITING);
        } else {
            set_state(questions, question, STATE_GAVE_UP);
            questions->figures.never_came++;
        }
    }
}

static double
tokens_at(const struct questions *questions, int64_t now_ms)
{
    double grown = (double)(now_ms - questions->tokens_ms) * questions->per_second / 1000;

    return fmin(questions->burst, questions->tokens + grown);
}

bool
questions_next(struct questions *questions, int64_t now_ms, size_t *entry, size_t *place)
{
    struct question *question = questions->waiting.first;
    double tokens = tokens_at(questions, now_ms);

    if (!question || questions->under_way_count >= questions->profile->pace.in_flight || tokens < 1)
        return false;
    questions->tokens = tokens - 1;
    questions->tokens_ms = now_ms;
    if (question->tries++ == 0)
        questions->figures.asked++;
    else
        questions->figures.asked_again++;
    question->sent_ms = now_ms;
    set_state(questions, question, STATE_UNDER_WAY);
    *entry = question->entry;
    *place = question->place;
    return true;
}

bool
questions_answered(struct questions *questions, size_t entry, size_t place)
{
    struct question *question;
    bool *came;

    if (!questions->profile->entries[entry].asks)
        return false;
    question = &questions->all[questions->entry_first[entry]];
    question += place / question->answers;
    came = &questions->came[question->first_answer + place % question->answers];
    if (question->missing == 0 || *came)
        return false;
    *came = true;
    if (--question->missing > 0)
        return false;
    if (question->state == STATE_GAVE_UP) /* late, yet it came */
        questions->figures.never_came--;
    /* a push may answer a question before it is put; then it need not be */
    questions->figures.heard++;
    set_state(questions, question, STATE_ANSWERED);
    return true;
}

bool
questions_done(const struct questions *questions)
{
    return !questions->waiting.first && !questions->under_way.first;
}

int64_t
questions_wait_ms(const struct questions *questions, int64_t now_ms)
{
    int64_t wait_ms = -1;
    double tokens = tokens_at(questions, now_ms);

    if (questions->under_way.first) {
        wait_ms = questions->under_way.first->sent_ms + questions->profile->pace.answer_within_ms -
                  now_ms;
        wait_ms = wait_ms < 0 ? 0 : wait_ms;
    }
    if (questions->waiting.first &&
        questions->under_way_count < questions->profile->pace.in_flight) {
        int64_t token_ms =
            tokens >= 1 ? 0 : (int64_t)ceil((1 - tokens) * 1000 / questions->per_second);

        wait_ms = wait_ms < 0 || token_ms < wait_ms ? token_ms : wait_ms;
    }
    return wait_ms;
}

struct question_figures
questions_figures(const struct questions *questions)
{
    return questions->figures;
}

void
questions_missing(const struct questions *questions, questions_missing_fn *each, void *context)
{
    for (size_t i = 0; i < questions->count; i++)
        if (questions->all[i].state != STATE_ANSWERED)
            each(context, questions->all[i].entry, questions->all[i].place);
}
