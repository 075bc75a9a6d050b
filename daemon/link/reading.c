/* SPDX-License-Identifier: MIT */
#include "link/reading.h"

#include <stdlib.h>

#include "core/need.h"

struct reading {
    struct loop *loop;
    const struct profile *profile;
    struct speaker *speaker;
    struct questions *questions;
    struct loop_timer *ask; /* the next question, or the next time-out */
    int64_t begun_ms;
    bool on;
    bool was_first; /* the first is over, with these figures, which are what a report wants */
    struct question_figures first;
    int64_t first_took_ms;
};

struct reading *
reading_new(struct loop *loop, const struct profile *profile, struct speaker *speaker,
            loop_fn *look, void *context)
{
    struct reading *reading = need_memory(1, sizeof *reading);

    *reading = (struct reading){.loop = loop,
                                .profile = profile,
                                .speaker = speaker,
                                .questions = questions_new(profile),
                                .ask = loop_timer_open(loop, look, context),
                                .begun_ms = loop_now_ms(loop)};
    return reading;
}

void
reading_free(struct reading *reading)
{
    if (!reading)
        return;
    loop_timer_close(reading->ask);
    questions_free(reading->questions);
    free(reading);
}

/* Twice as fast as the interval needs, but never in the way of other tablets. */
static double
slow_pace(const struct reading *reading)
{
    double slow = 2 * (double)questions_figures(reading->questions).questions /
                  reading->profile->pace.reread_every_s;

    return slow < 10 ? 10 : slow;
}

void
reading_begin(struct reading *reading, bool slow)
{
    double per_second = reading->profile->pace.per_second;

    reading->begun_ms = loop_now_ms(reading->loop);
    reading->on = true;
    if (slow && slow_pace(reading) < per_second)
        per_second = slow_pace(reading);
    questions_begin(reading->questions, loop_now_us(reading->loop), per_second);
    loop_timer_start(reading->ask, 0, 0);
}

bool
reading_step(struct reading *reading)
{
    int64_t now_us = loop_now_us(reading->loop), wait_us;
    size_t entry, place;

    questions_expire(reading->questions, now_us);
    while (speaker_may_ask(reading->speaker) &&
           questions_next(reading->questions, now_us, &entry, &place))
        speaker_ask(reading->speaker, entry, place);
    if (questions_done(reading->questions))
        return true;
    wait_us = questions_wait_us(reading->questions, now_us);
    if (wait_us < speaker_wait_us(reading->speaker, now_us))
        wait_us = speaker_wait_us(reading->speaker, now_us);
    loop_timer_start(reading->ask, wait_us / 1000 + 1, 0);
    return false;
}

bool
reading_answered(struct reading *reading, size_t entry, size_t place)
{
    return questions_answered(reading->questions, entry, place, loop_now_us(reading->loop));
}

void
reading_end(struct reading *reading)
{
    reading->on = false;
    if (!reading->was_first)
        reading->first = reading_figures(reading, &reading->first_took_ms);
    reading->was_first = true;
}

void
reading_stop(struct reading *reading)
{
    reading->on = false;
    loop_timer_stop(reading->ask);
}

bool
reading_is_on(const struct reading *reading)
{
    return reading->on;
}

int64_t
reading_for_ms(const struct reading *reading)
{
    return loop_now_ms(reading->loop) - reading->begun_ms;
}

void
reading_look_in(struct reading *reading, int64_t ms)
{
    loop_timer_start(reading->ask, ms, 0);
}

struct question_figures
reading_figures(const struct reading *reading, int64_t *took_ms)
{
    *took_ms = reading->was_first ? reading->first_took_ms : reading_for_ms(reading);
    return reading->was_first ? reading->first : questions_figures(reading->questions);
}
