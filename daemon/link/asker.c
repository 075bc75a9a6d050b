/* SPDX-License-Identifier: MIT */
#include "link/asker.h"

#include <math.h>

struct asker
asker_of(const struct profile *profile, struct loop *loop, struct speaker *speaker,
         struct presence *presence)
{
    struct asker asker = {.profile = profile,
                          .loop = loop,
                          .speaker = speaker,
                          .presence = presence,
                          .questions = questions_new(profile)};

    asker.rounds = rounds_new(questions_layout(asker.questions));
    return asker;
}

void
asker_release(struct asker *asker)
{
    rounds_free(asker->rounds);
    questions_free(asker->questions);
}

void
asker_read(struct asker *asker)
{
    asker->reads = true;
    questions_begin(asker->questions, loop_now_us(asker->loop), asker->profile->pace.per_second);
}

void
asker_rest(struct asker *asker)
{
    const struct pace *pace = &asker->profile->pace;
    struct round_periods wish = {.protects_us =
                                     (int64_t)(fmin(ROUNDS_PROTECTS_S, pace->reread_every_s) * 1e6),
                                 .rest_us = (int64_t)(pace->reread_every_s * 1e6)};

    asker->reads = false;
    asker->fastest = fmax(asker->fastest, questions_per_second(asker->questions));
    rounds_begin(asker->rounds, ROUNDS_SHARE * asker->fastest, wish, loop_now_us(asker->loop));
}

/* Puts what moved lately, and what a round has next when nothing else waits; beside a reading, what
 * protects alone. What is under way already is asked once more after it: it may have been answered
 * before the move. */
static void
put_questions(struct asker *asker, int64_t now_us)
{
    size_t number;

    while (rounds_next_moved(asker->rounds, now_us, &number))
        if (!questions_put(asker->questions, number, true))
            rounds_moved(asker->rounds, number, now_us);
    if (asker->reads) {
        if (rounds_next_protecting(asker->rounds, now_us, &number))
            questions_put(asker->questions, number, false);
        return;
    }
    if (!questions_are_waiting(asker->questions) && rounds_next(asker->rounds, now_us, &number))
        questions_put(asker->questions, number, false);
}

/* A reading keeps to the pace alone, and so does what moved; the rounds keep to their budget too. */
static bool
may_ask(struct asker *asker, int64_t now_us)
{
    return (asker->reads || questions_urgent(asker->questions) ||
            rounds_budget_wait_us(asker->rounds, now_us) == 0) &&
           speaker_may_ask(asker->speaker);
}

void
asker_ask(struct asker *asker)
{
    int64_t now_us = loop_now_us(asker->loop);
    size_t entry, place;

    questions_expire(asker->questions, now_us);
    put_questions(asker, now_us);
    while (may_ask(asker, now_us)) {
        bool urgent = questions_urgent(asker->questions);

        if (!questions_next(asker->questions, now_us, &entry, &place))
            return;
        if (!asker->reads && !urgent)
            rounds_asked(asker->rounds, now_us);
        speaker_ask(asker->speaker, entry, place);
        presence_asked(asker->presence, loop_now_ms(asker->loop));
        put_questions(asker, now_us);
    }
}

/* The nearer of two times from now; -1: never. */
static int64_t
sooner(int64_t one_us, int64_t other_us)
{
    return one_us < 0 || (other_us >= 0 && other_us < one_us) ? other_us : one_us;
}

int64_t
asker_wait_us(struct asker *asker)
{
    int64_t now_us = loop_now_us(asker->loop);
    int64_t hold_us = asker->reads ? 0 : rounds_budget_wait_us(asker->rounds, now_us);
    int64_t wait_us = questions_wait_us(asker->questions, now_us, hold_us);
    int64_t speaker_us = speaker_wait_us(asker->speaker, now_us);

    wait_us = sooner(wait_us, rounds_moved_wait_us(asker->rounds, now_us));
    if (asker->reads)
        wait_us = sooner(wait_us, rounds_protecting_wait_us(asker->rounds, now_us));
    else if (!questions_are_waiting(asker->questions))
        wait_us = sooner(wait_us, rounds_wait_us(asker->rounds, now_us));
    return wait_us > speaker_us ? wait_us : speaker_us;
}

bool
asker_heard(struct asker *asker, size_t entry, size_t place, bool moved)
{
    int64_t now_us = loop_now_us(asker->loop);
    bool room = questions_answered(asker->questions, entry, place, now_us);
    size_t number;

    if (!moved || !asker->profile->entries[entry].asks)
        return room;
    number = layout_number(questions_layout(asker->questions), entry, place);
    return rounds_moved(asker->rounds, number, now_us) || room;
}

bool
asker_look(struct asker *asker, size_t entry)
{
    if (!speaker_may_ask(asker->speaker))
        return false;
    speaker_ask(asker->speaker, entry, 0);
    presence_asked(asker->presence, loop_now_ms(asker->loop));
    return true;
}
