/* SPDX-License-Identifier: MIT */
#include "watcher/burst.h"

enum {
    SECOND = 1000 / BURST_SAMPLE_MS, /* in samples */
    FEW = 3,                         /* values that any hand may move meanwhile */
    SURE_MS = 25,                    /* an ebb that is a stall of this computer ends within it */
    EBB_SHARE = 12,                  /* of what came, so small a part may still come, */
    EBB_PART = 3,                    /* and so small a part of what came when it was densest */
    DEAF_MS = 1500                   /* until the samples know the stream */
};

void
burst_init(struct burst *burst)
{
    *burst = (struct burst){
        .sample = -SECOND, .begun_ms = INT64_MAX, .ebbed_ms = INT64_MAX, .deaf_ms = INT64_MIN};
}

int64_t
burst_late_ms(int64_t now_ms)
{
    return now_ms - BURST_EBB_MS;
}

/* ---- what moved before ---- */

static size_t *
sample_at(struct burst *burst, int64_t number)
{
    return &burst->samples[number % BURST_SAMPLES];
}

/* What moved stays in the count for a second, also where nobody looked. */
static void
sample(struct burst *burst, size_t values, int64_t now_ms)
{
    int64_t number = now_ms / BURST_SAMPLE_MS, last = burst->sample;
    size_t kept = last < 0 ? 0 : *sample_at(burst, last);

    for (int64_t i = last + 1 > number - BURST_SAMPLES ? last + 1 : number - BURST_SAMPLES + 1;
         i < number; i++)
        if (i >= 0)
            *sample_at(burst, i) = i - last < SECOND ? kept : 0;
    if (number != last || values > kept)
        *sample_at(burst, number) = values;
    burst->sample = number;
}

/* The most in any second that ended before the last one began. */
static size_t
most_before(struct burst *burst)
{
    size_t most = 0;

    for (int64_t i = burst->sample - BURST_SAMPLES + 1; i < burst->sample - SECOND; i++)
        if (i >= 0 && *sample_at(burst, i) > most)
            most = *sample_at(burst, i);
    return most;
}

/* ---- what moves now ---- */

bool
burst_stands_out(const struct burst *burst, size_t values)
{
    return values > burst->before + burst->before / 2 + FEW;
}

static void
look_for_one(struct burst *burst, const struct moves_count *moved, const struct burst_least *least,
             int64_t now_ms)
{
    sample(burst, moved->values, now_ms);
    burst->before = most_before(burst);
    if (!burst_stands_out(burst, moved->values))
        burst->begun_ms = INT64_MAX;
    else if (burst->begun_ms == INT64_MAX)
        burst->begun_ms = now_ms;
    if (!(moved->scene && moved->values >= BURST_SCENE_VALUES) &&
        (now_ms < burst->deaf_ms || moved->values < least->values + 2 * burst->before ||
         moved->objects < least->objects))
        return;
    if (burst->begun_ms == INT64_MAX)
        burst->begun_ms = now_ms;
    burst->ebbed_ms = INT64_MAX;
    burst->undecided_ms = now_ms;
    burst->phase = BURST_UNDECIDED;
}

/* Hardly more comes than came before it began, and far less than it brought. What there was in that
 * time would have come anyhow, give or take an eighth. A stream that has only begun is thin now and
 * then, and never so thin beside itself; where a scene was named it need not be. */
static bool
has_ebbed(const struct burst *burst, const struct moves_count *moved, int64_t now_ms)
{
    size_t before = burst->before, for_ms = (size_t)(now_ms - burst->begun_ms);
    size_t anyhow = before + before * for_ms / 1000;
    size_t late = before * BURST_EBB_MS / 1000 + before / 8 + (before < FEW ? before : FEW);

    if (moved->values > anyhow)
        late += (moved->values - anyhow) / EBB_SHARE;
    return moved->late <= late && (moved->scene || moved->late <= burst->densest / EBB_PART);
}

static void
be_traffic(struct burst *burst, size_t values, int64_t now_ms)
{
    burst_forget(burst);
    sample(burst, values, now_ms);
    burst->deaf_ms = now_ms + DEAF_MS;
}

static void
decide(struct burst *burst, const struct moves_count *moved, int64_t now_ms)
{
    bool much = moved->scene || moved->values >= BURST_STREAM_VALUES + burst->before;

    if (!has_ebbed(burst, moved, now_ms))
        burst->ebbed_ms = INT64_MAX;
    else if (burst->ebbed_ms == INT64_MAX)
        burst->ebbed_ms = now_ms;
    if (burst->ebbed_ms != INT64_MAX && now_ms - burst->ebbed_ms >= SURE_MS)
        burst->phase = BURST_RECALL;
    else if (burst->ebbed_ms != INT64_MAX || now_ms - burst->undecided_ms < BURST_MOST_MS)
        return;
    else if (much)
        burst->phase = BURST_RECALL;
    else
        be_traffic(burst, moved->values, now_ms);
}

enum burst_phase
burst_look(struct burst *burst, const struct moves_count *moved, const struct burst_least *least,
           int64_t now_ms)
{
    if (burst->phase == BURST_NOTHING)
        look_for_one(burst, moved, least, now_ms);
    if (burst->begun_ms == INT64_MAX)
        burst->densest = 0;
    else if (moved->late > burst->densest)
        burst->densest = moved->late;
    if (burst->phase == BURST_UNDECIDED)
        decide(burst, moved, now_ms);
    return burst->phase;
}

int64_t
burst_next_ms(const struct burst *burst, int64_t now_ms)
{
    if (burst->phase != BURST_UNDECIDED)
        return INT64_MAX;
    if (burst->ebbed_ms != INT64_MAX)
        return burst->ebbed_ms + SURE_MS;
    return now_ms + SURE_MS;
}

void
burst_forget(struct burst *burst)
{
    burst->phase = BURST_NOTHING;
    burst->begun_ms = burst->ebbed_ms = INT64_MAX;
}
