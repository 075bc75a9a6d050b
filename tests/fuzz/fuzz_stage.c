/* SPDX-License-Identifier: MIT */
/* Bytes as a stage plan. It is read or its problems are told, never both; what is read is estimated on a
 * desk, and no figure of that is one that nobody can print.
 */
#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "rig.h"
#include "show/plan_file.h"
#include "stage/ears.h"
#include "stage/help.h"
#include "stage/house.h"
#include "stage/margin.h"
#include "stage/measured.h"

static const enum param_id reads[] = {LOOPS_READS, PARAMS};

static struct profile *profile;
static struct engine *engine;

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    profile = rig_small_desk();
    engine = rig_engine(profile, NULL);
    rig_fill(engine, RIG_MOST, 1);
    return 0;
}

static void
check_margin(const struct margin *margin)
{
    assert(!isnan(margin->db) && margin->db > -1000);
    assert(margin->give_or_take_db >= 0 && margin->give_or_take_db < 1000);
    assert(margin->gap_db >= 0);
}

static void
turn_all(const struct loops *loops)
{
    for (int i = 0; i < loops->stage->microphone_count; i++) {
        struct help help;

        if (help_turn(loops, i, &help))
            assert(help.path_db >= 0 && help_turn_voice_db(loops, i, help.degrees) <= 1e-9);
    }
}

static void
estimate(const struct stage *stage)
{
    static struct help helps[HELPS_MOST];
    struct verdict verdict;
    struct look look = look_reader(engine_desk(engine), engine_show(engine), reads, &verdict);
    struct loops *loops = loops_new(stage);
    struct margin random, worst;
    struct house house;
    int count;

    loops_hear(loops, &look);
    random = margin_of_stage(loops, PHASES_RANDOM);
    worst = margin_of_stage(loops, PHASES_WORST);
    check_margin(&random);
    check_margin(&worst);
    assert(worst.db <= random.db + 0.02);
    count = helps_of(loops, helps);
    assert(count >= 0 && count <= HELPS_MOST);
    for (int i = 0; i < count; i++)
        assert(helps[i].path_db >= HELP_LEAST_DB && !isnan(helps[i].stage_db));
    turn_all(loops);
    measured_take(loops, &(struct onset_measured){0, 0, 1000, -20}, 1);
    random = margin_of_stage(loops, PHASES_RANDOM);
    check_margin(&random);
    for (int i = 0; i < stage->ears_count; i++) {
        struct ears_level level;

        if (ears_level(loops, i, HOUSE_MARGIN_DB, &level) == EARS_HEAR)
            assert(isfinite(level.level_db) && isfinite(level.give_or_take_db));
    }
    if (house_of(stage, 3, &house))
        assert(isfinite(house_needed_db(&house)));
    loops_free(loops);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct problems problems = {0};
    char *text = malloc(length + 1);
    struct stage *stage = NULL;
    struct json *json;

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    json = json_parse(text, length, "stage", &problems);
    if (json)
        stage = plan_file_from_json(json, "stage", &problems);
    assert((stage != NULL) == (problems.count == 0));
    if (stage && plan_file_fits(stage, &profile->counts, "stage", &problems))
        estimate(stage);
    problems_print(&problems, rig_nowhere());
    problems_release(&problems);
    free(stage);
    json_free(json);
    free(text);
    return 0;
}
