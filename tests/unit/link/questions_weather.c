/* SPDX-License-Identifier: MIT */
/* The pacing of questions in every network weather, against a desk that exists only as numbers: it
 * has a queue with room for so many questions, serves them at its own rate, and the network between
 * delays, reorders and loses. Time is virtual, so that an hour costs nothing.
 *
 * The peer is the desk's own pace: values / service rate. The goals are those of the benchmark on
 * real sockets (tests/bench); here they hold without the scheduler's noise.
 */
#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "link/questions.h"
#include "profiles.h"

enum { VALUES = 6000, FLIGHTS_MOST = 8192 };

struct weather {
    const char *name;
    double per_second; /* of the desk */
    int room;          /* questions its queue holds */
    double away_us;    /* one way */
    double jitter_us;  /* up to so much more, so that answers overtake each other */
    double loss;       /* share of questions and of answers, each, that are lost */
    double silent;     /* share of the addresses that the desk does not know */
    double most;       /* times the desk's own pace that a reading may take */
    int in_flight;     /* ceilings of the profile */
    double ceiling;
};

/* One thing that will happen: a question reaches the desk, or an answer reaches us. */
struct flight {
    int64_t at_us;
    size_t entry, place;
    bool answer;
};

struct world {
    const struct weather *weather;
    struct profile *profile;
    struct questions *questions;
    struct dice dice;
    int64_t now_us;
    struct flight flights[FLIGHTS_MOST]; /* a heap: the earliest first */
    int count;
    int64_t desk_free_us; /* when the desk has served all it holds */
    int sent, sent_this_second, most_per_second;
    int64_t second_us;
};

/* ---- what will happen ---- */

static void
add_flight(struct world *world, struct flight flight)
{
    int at = world->count++;

    assert_true(world->count <= FLIGHTS_MOST);
    while (at > 0 && world->flights[(at - 1) / 2].at_us > flight.at_us) {
        world->flights[at] = world->flights[(at - 1) / 2];
        at = (at - 1) / 2;
    }
    world->flights[at] = flight;
}

static struct flight
take_flight(struct world *world)
{
    struct flight first = world->flights[0], last = world->flights[--world->count];
    int at = 0, child;

    while ((child = 2 * at + 1) < world->count) {
        if (child + 1 < world->count &&
            world->flights[child + 1].at_us < world->flights[child].at_us)
            child++;
        if (world->flights[child].at_us >= last.at_us)
            break;
        world->flights[at] = world->flights[child];
        at = child;
    }
    world->flights[at] = last;
    return first;
}

static bool
chance(struct world *world, double share)
{
    return dice_between(&world->dice, 0, 1) < share;
}

static int64_t
way_us(struct world *world)
{
    return (int64_t)(world->weather->away_us +
                     dice_between(&world->dice, 0, world->weather->jitter_us));
}

/* ---- the desk ---- */

static bool
is_silent(const struct world *world, size_t place)
{
    return (double)(place % 100) < 100 * world->weather->silent;
}

/* A question reaches the desk: dropped when the queue is full, else answered after all before it.
 */
static void
serve(struct world *world, const struct flight *question)
{
    double service_us = 1e6 / world->weather->per_second;
    struct flight answer = *question;

    if (world->desk_free_us < world->now_us)
        world->desk_free_us = world->now_us;
    if ((double)(world->desk_free_us - world->now_us) > (world->weather->room - 1) * service_us)
        return;
    world->desk_free_us += (int64_t)service_us;
    if (is_silent(world, question->place) || chance(world, world->weather->loss))
        return;
    answer.answer = true;
    answer.at_us = world->desk_free_us + way_us(world);
    add_flight(world, answer);
}

/* ---- us ---- */

static void
send_what_may_go(struct world *world)
{
    struct flight flight = {0};

    questions_expire(world->questions, world->now_us);
    while (questions_next(world->questions, world->now_us, &flight.entry, &flight.place)) {
        if (world->now_us - world->second_us >= 1000000) {
            world->second_us = world->now_us;
            world->sent_this_second = 0;
        }
        world->sent++;
        if (++world->sent_this_second > world->most_per_second)
            world->most_per_second = world->sent_this_second;
        if (chance(world, world->weather->loss))
            continue;
        flight.at_us = world->now_us + way_us(world);
        add_flight(world, flight);
    }
}

/* One reading of the desk; microseconds. Timers wake at whole milliseconds, as the program's do. */
static int64_t
read_desk(struct world *world)
{
    questions_begin(world->questions, 0, world->profile->pace.per_second);
    send_what_may_go(world);
    while (!questions_done(world->questions) && world->now_us < INT64_C(3600000000)) {
        int64_t wait_us = questions_wait_us(world->questions, world->now_us, 0);
        int64_t timer_us = wait_us < 0 ? INT64_MAX : world->now_us + (wait_us / 1000 + 1) * 1000;

        assert_true(world->count > 0 || wait_us >= 0); /* something always goes on */
        if (world->count > 0 && world->flights[0].at_us <= timer_us) {
            struct flight flight = take_flight(world);

            world->now_us = flight.at_us;
            if (!flight.answer) {
                serve(world, &flight);
                continue;
            }
            questions_answered(world->questions, flight.entry, flight.place, world->now_us);
        } else {
            world->now_us = timer_us;
        }
        send_what_may_go(world);
    }
    return world->now_us;
}

static void
open_world(struct world *world, const struct weather *weather, struct dice dice)
{
    char text[800];
    struct loaded loaded;

    snprintf(text, sizeof text,
             "{ \"profile_format\": 1, \"desk\": \"d\", \"link\": { \"transport\": \"udp\", "
             "\"port\": 1 }, \"pace\": { \"in_flight\": %d, \"per_second\": %g, "
             "\"answer_within_ms\": 1000, \"tries\": 10 }, \"counts\": { \"input\": 100, \"mix\": "
             "60 }, \"values\": [ { \"at\": \"/i/{input}/{mix}\", \"is\": \"send.level\" } ] }",
             weather->in_flight, weather->ceiling);
    loaded_read(&loaded, text);
    assert_non_null(loaded.profile);
    memset(world, 0, sizeof *world);
    world->weather = weather;
    world->profile = loaded.profile;
    world->questions = questions_new(loaded.profile);
    world->dice = dice;
    problems_release(&loaded.problems);
}

static void
close_world(struct world *world)
{
    questions_free(world->questions);
    profile_free(world->profile);
}

/* What a desk does not lose it gets through once: what stays is its own pace. */
static void
weathers(void **state)
{
    static const struct weather rows[] = {
        {"fast", 200000, 250, 30, 0, 0, 0, 1.3, 4096, 1000000},
        {"slow, small buffer", 2000, 20, 100, 0, 0, 0, 1.05, 4096, 1000000},
        {"slow, small buffer, a fifth lost", 2000, 20, 100, 0, 0.1056, 0, 1.3, 4096, 1000000},
        {"10 ms away", 20000, 250, 10000, 0, 0, 0, 2.5, 4096, 1000000},
        {"10 ms away, a fifth lost", 20000, 250, 10000, 0, 0.1056, 0, 12, 4096, 1000000},
        {"jitter", 20000, 250, 5000, 5000, 0, 0, 20, 4096, 1000000},
        {"half the addresses unknown", 20000, 250, 100, 0, 0, 0.5, 25, 4096, 1000000},
        {"held by per_second", 20000, 250, 100, 0, 0, 0, 21, 4096, 1000},
        {"held by in_flight", 20000, 250, 10000, 0, 0, 0, 65, 8, 1000000},
    };
    struct dice dice = dice_new();

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        static struct world world;
        double own_us = VALUES / rows[i].per_second * 1e6, took_us;
        size_t known = 0;

        open_world(&world, &rows[i], dice);
        took_us = (double)read_desk(&world);
        for (size_t place = 0; place < VALUES; place++)
            known += !is_silent(&world, place);
        print_message(
            "%-34s %6.0f ms, %5.2f times the desk's own pace; %d asked, %zu of %zu came\n",
            rows[i].name, took_us / 1000, took_us / own_us, world.sent,
            questions_figures(world.questions).heard, known);
        assert_int_equal(questions_figures(world.questions).heard, known);
        assert_true(world.most_per_second <= rows[i].ceiling);
        assert_true(took_us <= rows[i].most * own_us);
        dice = world.dice;
        close_world(&world);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(weathers)};

    return cmocka_run_group_tests_name("questions_weather", tests, NULL, NULL);
}
