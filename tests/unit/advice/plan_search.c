/* SPDX-License-Identifier: MIT */
/* Does the planner leave on the table what could be had? Random desks of four inputs and three
 * mixes, and on each of them what its plan gives back beside the most that a search of all re-trims
 * and masters finds (search.h says what counts and how it searches). In all the plan must reach
 * 95 % of that. Half of the shows call unused gain a finding from 3 dB on, where cards begin to be
 * worth something; the other half from where it is by default.
 *
 * The search is no better than it is wide: what plans give back must be found by it, too, but for a
 * small part (it takes out all the make-up gain that is found, or none of it).
 */
#include "search.h"

#include <inttypes.h>
#include <math.h>

enum { DESKS = 4000 };

#define REACHED 0.95
#define SEARCHED 0.97

struct tally {
    double planned_db, found_db, both_db; /* both: of each desk the less */
    size_t desks, less, more, turned_down;
    double worst_db; /* what a plan falls short by most */
    uint64_t worst;  /* and on the desk of which seed */
};

/* The desk with the cards carried out, or those alone that put something back. */
static struct desk *
carry_out(const struct desk *desk, const struct plan *plan, bool put_back_only)
{
    struct desk *after = desk_copy(desk);

    for (size_t i = 0; i < plan->count; i++)
        for (size_t move = 0; move < plan->cards[i].count; move++)
            if (!put_back_only || plan->cards[i].kind == CARD_PUT_BACK)
                scene_apply(after, &plan->cards[i].moves[move]);
    return after;
}

static void
count(struct tally *tally, double planned_db, double found_db, uint64_t seed)
{
    tally->planned_db += planned_db;
    tally->found_db += found_db;
    tally->both_db += fmin(planned_db, found_db);
    tally->desks += found_db > 0;
    tally->less += planned_db < found_db - 0.1;
    tally->more += planned_db > found_db + 0.1;
    if (found_db - planned_db > tally->worst_db) {
        tally->worst_db = found_db - planned_db;
        tally->worst = seed;
    }
}

/* Both begin where slips are put back. */
static void
compare(const struct scene *scene, uint64_t seed, struct tally *tally)
{
    struct plan *plan = scene_plan(scene, scene->desk);
    struct desk *base = carry_out(scene->desk, plan, true);
    struct desk *after = carry_out(scene->desk, plan, false);

    count(tally, search_given_db(base, after), search_most_db(scene, base, &tally->turned_down),
          seed);
    desk_free(after);
    desk_free(base);
    plan_free(plan);
}

static void
print_tally(const struct tally *tally)
{
    print_message(
        "planned %.0f dB of %.0f dB found on %zu of %d desks = %.1f %%; less on %zu, more "
        "on %zu, desk by desk %.1f %%; %zu choices turned down; GW_SEED=%" PRIu64
        " begins with the desk that falls short by most, %.1f dB\n",
        tally->planned_db, tally->found_db, tally->desks, DESKS,
        100 * tally->planned_db / tally->found_db, tally->less, tally->more,
        100 * tally->both_db / tally->found_db, tally->turned_down, tally->worst, tally->worst_db);
}

static void
gives_back_what_there_is(void **state)
{
    struct dice dice = dice_new();
    struct tally tally = {.worst = 0};

    (void)state;
    for (int i = 0; i < DESKS; i++) {
        uint64_t seed = dice.state;
        struct scene scene = scene_random(&dice);

        if (seed % 2 == 0)
            scene.show->checks[CHECK_UNUSED_PREAMP_GAIN].settings[0] = SEARCH_LEAST_DB;
        compare(&scene, seed, &tally);
        scene_free(&scene);
    }
    print_tally(&tally);
    assert_true(tally.desks > DESKS / 2 && tally.turned_down > DESKS);
    assert_true(tally.planned_db >= REACHED * tally.found_db);
    assert_true(tally.both_db >= SEARCHED * tally.planned_db);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(gives_back_what_there_is)};

    return cmocka_run_group_tests_name("plan_search", tests, NULL, NULL);
}
