/* SPDX-License-Identifier: MIT */
/* Bytes as a show file for the small desk. It opens or its problems are told, never both; and one
 * that opens lies within the desk, fills its chat message, and judges a desk that gives findings.
 */
#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "advice/plan.h"
#include "check/check.h"
#include "desk/source.h"
#include "fuzz.h"
#include "rig.h"
#include "show/file.h"

static struct profile *profile;
static int memory_file;
static char path[40];

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    profile = rig_small_desk();
    memory_file = memfd_create("show", MFD_CLOEXEC);
    if (memory_file < 0)
        exit(2);
    snprintf(path, sizeof path, "/proc/self/fd/%d", memory_file);
    return 0;
}

static void
write_file(const uint8_t *bytes, size_t length)
{
    assert(ftruncate(memory_file, 0) == 0);
    assert(pwrite(memory_file, bytes, length, 0) == (ssize_t)length);
}

static void
check_text(const char *text, size_t size)
{
    assert(strnlen(text, size) < size);
}

static void
check_settings(const struct show *show, int check)
{
    for (int i = 0; i < CHECK_SETTINGS && check_set_all.of[check]->settings[i].name; i++) {
        const struct setting *setting = &check_set_all.of[check]->settings[i];
        double number = show->checks[check].settings[i];

        assert(number >= setting->least && number <= setting->most);
    }
}

static void
check_accept(const struct show *show, const struct accept *accept)
{
    assert(accept->check >= 0 && accept->check < CHECKS);
    assert(accept->input >= -1 && accept->input < show->input_count);
    assert(accept->mix >= -1 && accept->mix < show->mix_count);
    assert(!isnan(accept->up_to));
    check_text(accept->why, sizeof accept->why);
    check_text(accept->by, sizeof accept->by);
    assert(*accept->why);
}

static void
check_show(const struct show *show)
{
    assert(show->input_count == profile->counts.of[INDEX_INPUT]);
    assert(show->mix_count == profile->counts.of[INDEX_MIX]);
    check_text(show->name, sizeof show->name);
    for (int i = 0; i < show->input_count; i++) {
        const struct show_input *input = &show->inputs[i];

        assert(input->source == SOURCE_UNKNOWN ||
               (input->source >= 0 && input->source < source_count));
        assert(input->lowest_hz == 0 || (input->lowest_hz >= 10 && input->lowest_hz <= 5000));
        assert(input->microphone < MICROPHONES);
        check_text(input->player, sizeof input->player);
    }
    for (int i = 0; i < show->mix_count; i++) {
        assert(show->mixes[i].feeds < FEEDS_COUNT);
        check_text(show->mixes[i].player, sizeof show->mixes[i].player);
    }
    for (int check = 0; check < CHECKS; check++)
        check_settings(show, check);
    for (int i = 0; i < show->accept_count; i++)
        check_accept(show, &show->accepts[i]);
}

/* Keys that name an input or a mix of the desk, and no other. */
static void
check_numbers(const struct json *root, const char *key, int count)
{
    const struct json *numbered = json_get(root, key);

    for (const struct json *item = numbered ? json_first(numbered) : NULL; item;
         item = json_next(item))
        assert(atoi(json_key(item)) >= 1 && atoi(json_key(item)) <= count);
}

/* What an accepted finding names stands in it: nothing widens to all inputs or mixes. */
static void
check_named(const struct json *root, const struct show *show)
{
    const struct json *accepts = json_get(root, "accept");
    const struct json *item = accepts ? json_first(accepts) : NULL;

    for (int i = 0; i < show->accept_count; i++, item = json_next(item)) {
        const struct json *input = json_get(item, "input"), *mix = json_get(item, "mix");

        assert(show->accepts[i].input == (input ? json_number(input) - 1 : -1));
        assert(show->accepts[i].mix == (mix ? json_number(mix) - 1 : -1));
        assert(!input || show->accepts[i].input >= 0);
        assert(!mix || show->accepts[i].mix >= 0);
    }
    assert(!item);
}

/* Findings open and are accepted or not; a day later some may be accepted no more. */
static void
judge(struct show *show)
{
    struct engine *engine = rig_engine(profile, show);

    for (int values = RIG_USUAL; values <= RIG_MOST; values++) {
        rig_fill(engine, (enum rig_values)values, 1000 + values);
        rig_run(engine, 1000 + values);
        engine_set_day(engine, 20300102 + values);
    }
    rig_run(engine, 2000);
    rig_check_marks(engine);
    for (int i = 0; i < show->accept_count; i++) {
        engine_accept_idle(engine, i);
        engine_accept_expired(engine, i);
    }
    plan_free(engine_advise(engine, PLAN_SMALL_TOO));
    engine_free(engine);
}

static void
fill_chat(const struct chat_settings *chat)
{
    struct json *body;
    char *text;

    assert(chat->from_weight < WEIGHTS);
    if (!chat->body)
        return;
    body = json_fill(chat->body, "input 1: \"${text}\"\n", "0123");
    text = json_print(body, false);
    assert(*text);
    free(text);
    json_free(body);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct problems problems = {0};
    struct show_file *file;
    struct show *show = NULL;

    write_file(bytes, length);
    file = show_file_open(path, &problems);
    assert((file != NULL) == (problems.count == 0));
    if (file) {
        assert(file->port >= 0 && file->port <= 65535);
        fill_chat(&file->tell.chat);
        show = show_file_show(file, &profile->counts, &problems);
        assert((show != NULL) == (problems.count == 0));
    }
    if (show) {
        check_show(show);
        check_numbers(file->json, "inputs", show->input_count);
        check_numbers(file->json, "mixes", show->mix_count);
        check_named(file->json, show);
        judge(show); /* the engine frees it */
    }
    problems_print(&problems, rig_nowhere());
    problems_release(&problems);
    show_file_free(file);
    return 0;
}
