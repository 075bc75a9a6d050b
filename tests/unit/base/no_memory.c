/* SPDX-License-Identifier: MIT */
/* How the program ends when an allocation fails: the linker puts the functions below in place of
 * the allocator's in all that is the program's own (--wrap), and each run is a child.
 */
#include "unit.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/json.h"
#include "base/no_memory.h"
#include "base/options.h"
#include "check/check.h"
#include "core/need.h"
#include "engine/engine.h"
#include "files.h"
#include "link/questions.h"
#include "link/router.h"
#include "saved/keep.h"

enum { WORDS_SIZE = 400, BATCHES = 6 };

static const char all_it_says[] = "gainwarden: out of memory\n";

/* ---- an allocator that fails ---- */

static long grants = -1; /* how many allocations are granted; -1: all */

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *memory, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *memory, size_t size);

static bool
is_granted(void)
{
    return grants < 0 || (grants > 0 && grants--);
}

void *
__wrap_malloc(size_t size)
{
    return is_granted() ? __real_malloc(size) : NULL;
}

void *
__wrap_calloc(size_t count, size_t size)
{
    return is_granted() ? __real_calloc(count, size) : NULL;
}

void *
__wrap_realloc(void *memory, size_t size)
{
    return is_granted() ? __real_realloc(memory, size) : NULL;
}

/* ---- a child ---- */

typedef void job_fn(void *context);

/* Runs the job in a child with so many allocations; its status, and what it said on standard
 * error. */
static int
status_of(job_fn *job, void *context, long granted, char words[WORDS_SIZE])
{
    int ends[2], status;
    size_t used = 0;
    ssize_t got;
    pid_t child;

    assert_int_equal(pipe(ends), 0);
    child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        dup2(ends[1], STDERR_FILENO);
        no_memory_init();
        json_init();
        grants = granted;
        job(context);
        _exit(EXIT_CLEAN);
    }
    close(ends[1]);
    while ((got = read(ends[0], words + used, WORDS_SIZE - 1 - used)) > 0)
        used += (size_t)got;
    words[used] = '\0';
    close(ends[0]);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void
assert_ends(job_fn *job, void *context, long granted, const char *said)
{
    char words[WORDS_SIZE];

    assert_int_equal(status_of(job, context, granted, words), EXIT_NO_MEMORY);
    assert_string_equal(words, said);
}

/* ---- each of the ways to ask ---- */

static void
ask_zeroed(void *context)
{
    (void)context;
    need_memory(1, 100);
}

static void
ask_none(void *context)
{
    (void)context;
    need_memory(0, 100);
}

static void
ask_more(void *context)
{
    need_more(context, 2, 100);
}

/* 64 bits hold no such product, and a small one is left of it. */
static void
ask_too_much(void *context)
{
    need_more(context, SIZE_MAX / 8 + 2, 8);
}

static void
ask_text(void *context)
{
    (void)context;
    need_text("a text");
}

static void
ask_part(void *context)
{
    (void)context;
    need_part("a text", 3);
}

static void
ask_library(void *context)
{
    (void)context;
    need_made(NULL);
}

static void
ask_json(void *context)
{
    (void)context;
    json_new_object();
}

static void
test_each_way(void **state)
{
    static job_fn *const jobs[] = {ask_zeroed, ask_none, ask_more, ask_text, ask_part, ask_json};
    char words[WORDS_SIZE];

    (void)state;
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++) {
        assert_ends(jobs[i], NULL, 0, all_it_says);
        assert_int_equal(status_of(jobs[i], NULL, 1, words), EXIT_CLEAN);
        assert_string_equal(words, "");
    }
    assert_ends(ask_too_much, NULL, -1, all_it_says);
    assert_ends(ask_library, NULL, -1, all_it_says);
}

static void
test_what_is_had(void **state)
{
    char *text = need_text("a text"), *part = need_part("a text", 3);
    unsigned char *zeros = need_memory(3, 5);

    (void)state;
    assert_string_equal(text, "a text");
    assert_string_equal(part, "a t");
    assert_null(need_text(NULL));
    for (int i = 0; i < 15; i++)
        assert_int_equal(zeros[i], 0);
    text = need_more(text, 100, 1);
    assert_string_equal(text, "a text");
    free(text);
    free(part);
    free(zeros);
}

/* ---- what is done first ---- */

static void
leave(void)
{
    fputs("the screen is put back, ", stderr);
}

static void
ask_behind_a_screen(void *context)
{
    (void)context;
    no_memory_before(leave);
    need_memory(1, 100);
}

static void
ask_after_a_screen(void *context)
{
    (void)context;
    no_memory_before(leave);
    no_memory_before(NULL);
    need_memory(1, 100);
}

static void
test_screen_first(void **state)
{
    (void)state;
    assert_ends(ask_behind_a_screen, NULL, 0,
                "the screen is put back, gainwarden: out of memory\n");
    assert_ends(ask_after_a_screen, NULL, 0, all_it_says);
}

/* ---- wherever it strikes ---- */

/* Not a line is on its way when the program ends. */
static void
judge_desk(void *context)
{
    struct problems problems = {0};
    struct profile *profile;
    struct engine *engine;
    struct router *router;
    struct questions *questions;
    struct show *show;

    (void)context;
    profile = profile_load(NO_MEMORY_PROFILE, NULL, &problems);
    if (!profile)
        _exit(EXIT_USAGE); /* told of a file that is good */
    show = check_set_show(check_set_all, profile->counts.of[INDEX_INPUT],
                          profile->counts.of[INDEX_MIX]);
    engine = engine_new(profile_desk(profile), show, check_set_all);
    router = router_new(profile, engine, NULL, NULL);
    questions = questions_new(profile);
    engine_run(engine, 0, NULL, NULL);
    questions_free(questions);
    router_free(router);
    engine_free(engine);
    profile_free(profile);
    problems_release(&problems);
}

static void
test_wherever(void **state)
{
    char words[WORDS_SIZE];
    long granted = 0;
    int status;

    (void)state;
    while ((status = status_of(judge_desk, NULL, granted, words)) == EXIT_NO_MEMORY) {
        assert_string_equal(words, all_it_says);
        granted += 1 + granted / 50;
    }
    assert_int_equal(status, EXIT_CLEAN);
    assert_string_equal(words, "");
    assert_true(granted > 1000);
}

/* ---- what is on disk ---- */

struct kept {
    char path[FILE_PATH_SIZE + 10];
    int count;
};

static void
count(void *context, const struct json *record)
{
    struct kept *kept = context;

    assert_int_equal((int)json_number(json_get(record, "number")), ++kept->count);
}

static struct keep *
open_kept(struct kept *kept)
{
    struct problems problems = {0};
    struct keep *keep;

    kept->count = 0;
    keep = keep_open(kept->path, count, kept, &problems, stderr);
    problems_print(&problems, stderr);
    problems_release(&problems);
    return keep;
}

/* Writes one batch after the other, and all in one now and then; a dot for each that is there. */
static void
write_batches(void *context)
{
    struct keep *keep = open_kept(context);

    for (int i = 1; i <= BATCHES; i++) {
        struct json *batch = json_new_object();

        json_add_number(batch, "number", i);
        if (keep_write(keep, batch))
            fputc('.', stderr);
        json_free(batch);
    }
    keep_close(keep);
}

static void
test_kept_is_whole(void **state)
{
    struct kept kept;
    char words[WORDS_SIZE];
    int status, ended = 0;

    (void)state;
    file_make_directory(kept.path);
    strcat(kept.path, "/one.kept");
    while ((status = status_of(write_batches, &kept, ended, words)) == EXIT_NO_MEMORY) {
        size_t written = strspn(words, ".");

        assert_string_equal(words + written, all_it_says);
        keep_close(open_kept(&kept));
        assert_int_equal(kept.count, written);
        assert_int_equal(unlink(kept.path), 0);
        ended++;
    }
    assert_int_equal(status, EXIT_CLEAN);
    keep_close(open_kept(&kept));
    assert_int_equal(kept.count, BATCHES);
    assert_true(ended > BATCHES);
    file_remove(kept.path);
    *strrchr(kept.path, '/') = '\0';
    file_remove(kept.path);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_each_way),      cmocka_unit_test(test_what_is_had),
        cmocka_unit_test(test_screen_first),  cmocka_unit_test(test_wherever),
        cmocka_unit_test(test_kept_is_whole),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
