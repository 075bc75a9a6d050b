/* SPDX-License-Identifier: MIT */
/* A stream that has only begun is no recall where it is thin for a moment; a recall beside it is one. */
#include "watcher/burst.h"

#include "unit.h"

enum { LOOK_MS = 10, SECOND_MS = 1000, EVENTS = 4000 };

/* When values moved, each another one, and what is made of it. */
struct stream {
    int64_t at_ms[EVENTS];
    int count;
    int64_t end_ms; /* of what was added last */
    struct burst burst;
    int64_t told_ms; /* when it was told to be a recall; 0: never */
};

static void
add(struct stream *stream, int a_second, int64_t for_ms)
{
    int values = (int)(a_second * for_ms / SECOND_MS);

    assert_true(stream->count + values <= EVENTS);
    for (int i = 0; i < values; i++)
        stream->at_ms[stream->count++] = stream->end_ms + for_ms * i / values;
    stream->end_ms += for_ms;
}

static size_t
since(const struct stream *stream, int64_t from_ms, int64_t now_ms)
{
    size_t values = 0;

    for (int i = 0; i < stream->count; i++)
        values += stream->at_ms[i] > from_ms && stream->at_ms[i] <= now_ms;
    return values;
}

/* Looks as a watch does, to the end. What is undecided is counted from where it began. */
static void
look(struct stream *stream)
{
    const struct burst_least least = {20, 4};
    int64_t from_ms = 0;

    burst_init(&stream->burst);
    for (int64_t now_ms = 0; now_ms < stream->end_ms; now_ms += LOOK_MS) {
        struct moves_count count;

        if (stream->burst.phase == BURST_NOTHING)
            from_ms = now_ms - SECOND_MS;
        count = (struct moves_count){
            .values = since(stream, from_ms, now_ms),
            .objects = since(stream, from_ms, now_ms),
            .late = since(stream, burst_late_ms(now_ms), now_ms),
        };
        if (burst_look(&stream->burst, &count, &least, now_ms) != BURST_RECALL)
            continue;
        if (stream->told_ms == 0)
            stream->told_ms = now_ms;
        burst_forget(&stream->burst);
        from_ms = now_ms;
    }
}

static void
a_stream_that_is_thin_for_a_moment_is_no_recall(void **state)
{
    (void)state;
    for (int thin = 60; thin <= 160; thin += 5)
        for (int64_t then_ms = 800; then_ms <= 2000; then_ms += 50) {
            struct stream stream = {.count = 0};

            add(&stream, 79, 4000);
            add(&stream, 0, 520);
            add(&stream, 160, then_ms);
            add(&stream, thin, BURST_EBB_MS + 50);
            add(&stream, 160, 4000);
            look(&stream);
            assert_row("told at", (double)stream.told_ms, 0);
        }
}

static void
a_recall_beside_a_stream_is_one(void **state)
{
    (void)state;
    for (int rate = 10; rate <= 100; rate += 10) {
        struct stream stream = {.count = 0};
        int64_t begun_ms;

        add(&stream, rate, 4000);
        begun_ms = stream.end_ms;
        add(&stream, (60 + 2 * rate) * 10 / 3 + rate, 300);
        add(&stream, rate, 4000);
        look(&stream);
        assert_in_range(stream.told_ms, begun_ms, begun_ms + BURST_MOST_MS);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_stream_that_is_thin_for_a_moment_is_no_recall),
        cmocka_unit_test(a_recall_beside_a_stream_is_one),
    };

    return cmocka_run_group_tests_name("burst", tests, NULL, NULL);
}
