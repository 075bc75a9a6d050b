/* SPDX-License-Identifier: MIT */
/* The file a watch keeps, on a real disk: cut at every byte, damaged at random, on a disk that is
 * full, locked against a second watch also while it is replaced. What is read back is compared with
 * what was written as text, whole batches only. Seeds are printed; GW_SEED=seed has a failure
 * again.
 */
#include "unit.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "files.h"
#include "saved/keep.h"

enum { BATCHES_MOST = 64, DAMAGES = 3000, COMPACTIONS = 400, PATH_SIZE = FILE_PATH_SIZE + 40 };

/* A folder of the test's own, and what came back from the file in it. */
struct rig {
    char folder[FILE_PATH_SIZE], path[PATH_SIZE];
    struct problems problems;
    char *notes;
    char *batches[BATCHES_MOST];
    int count;
};

static void
forget(struct rig *rig)
{
    for (int i = 0; i < rig->count; i++)
        free(rig->batches[i]);
    rig->count = 0;
    free(rig->notes);
    rig->notes = NULL;
    problems_release(&rig->problems);
    rig->problems = (struct problems){0};
}

static int
make(void **state)
{
    struct rig *rig = calloc(1, sizeof *rig);

    assert_non_null(rig);
    file_make_directory(rig->folder);
    snprintf(rig->path, sizeof rig->path, "%s/one.kept", rig->folder);
    rig->problems = (struct problems){0};
    *state = rig;
    return 0;
}

/* The path with the suffix; removes such a file when there is one. */
static void
clear(const struct rig *rig, const char *suffix)
{
    char path[PATH_SIZE + 40];

    snprintf(path, sizeof path, "%s%s", rig->path, suffix);
    if (remove(path) != 0)
        assert_int_equal(errno, ENOENT);
}

static int
drop(void **state)
{
    struct rig *rig = *state;

    forget(rig);
    clear(rig, "");
    clear(rig, ".damaged");
    clear(rig, ".damaged.2");
    file_remove(rig->folder); /* fails when something else was left */
    free(rig);
    return 0;
}

static void
on_batch(void *context, const struct json *record)
{
    struct rig *rig = context;

    assert_true(rig->count < BATCHES_MOST);
    rig->batches[rig->count++] = json_print(record, false);
}

static struct keep *
open_file(struct rig *rig)
{
    struct keep *keep;
    size_t length;
    FILE *notes;

    forget(rig);
    notes = open_memstream(&rig->notes, &length);
    assert_non_null(notes);
    keep = keep_open(rig->path, on_batch, rig, &rig->problems, notes);
    fclose(notes);
    return keep;
}

/* Opens it where nothing may be said about it. */
static struct keep *
open_well(struct rig *rig)
{
    struct keep *keep = open_file(rig);

    if (rig->problems.count > 0)
        print_error("%s\n", rig->problems.lines[0]);
    assert_non_null(keep);
    assert_int_equal(rig->problems.count, 0);
    assert_string_equal(rig->notes, "");
    return keep;
}

/* A batch like the watch's, of its own for each number; some are long, some hold odd texts. */
static struct json *
batch(int number)
{
    static const char *const texts[] = {"", "mix 6 \"Drum\"", "\\ \n \xf0\x9f\x8e\xb8", "{}\n{}"};
    struct json *json = json_new_object(), *list = json_new_array();

    for (int i = 0; i <= number % 3; i++)
        json_add_string(list, NULL, texts[(number + i) % 4]);
    json_add_number(json, "number", number);
    json_add(json, "messages", list);
    return json;
}

static bool
write_batch(struct keep *keep, int number)
{
    struct json *json = batch(number);
    bool good = keep_write(keep, json);

    json_free(json);
    return good;
}

static bool
compact_to(struct keep *keep, int number)
{
    struct json *json = batch(number);
    bool good = keep_compact(keep, json);

    json_free(json);
    return good;
}

/* What came back last, from `at` on, is these batches. */
static void
assert_batch(const struct rig *rig, int at, int number)
{
    struct json *json = batch(number);
    char *text = json_print(json, false);

    assert_true(at < rig->count);
    assert_string_equal(rig->batches[at], text);
    free(text);
    json_free(json);
}

/* The file's bytes, to free(). */
static char *
read_bytes(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    struct stat status;
    char *bytes;

    assert_non_null(file);
    assert_int_equal(fstat(fileno(file), &status), 0);
    *length = (size_t)status.st_size;
    bytes = calloc(*length + 1, 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, *length, file), *length);
    fclose(file);
    return bytes;
}

static void
put_bytes(const char *path, const char *bytes, size_t length)
{
    FILE *file = fopen(path, "wb");

    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

/* A file with so many batches; its bytes, to free(). */
static char *
written_file(struct rig *rig, int batches, size_t *length)
{
    struct keep *keep = open_well(rig);

    for (int i = 0; i < batches; i++)
        assert_true(write_batch(keep, i));
    keep_close(keep);
    return read_bytes(rig->path, length);
}

static void
test_comes_back_in_order(void **state)
{
    struct rig *rig = *state;
    struct keep *keep = open_well(rig);
    struct stat status;

    assert_int_equal(rig->count, 0);
    for (int i = 0; i < 20; i++) {
        assert_true(write_batch(keep, i));
        keep_close(keep);
        keep = open_well(rig);
        assert_int_equal(rig->count, i + 1);
    }
    for (int i = 0; i < 20; i++)
        assert_batch(rig, i, i);
    keep_close(keep);
    assert_int_equal(stat(rig->path, &status), 0);
    assert_int_equal(status.st_mode & 0777, 0600);
}

static size_t
first_line(const char *bytes)
{
    return (size_t)(strchr(bytes, '\n') + 1 - bytes);
}

static void
test_cut_at_every_byte(void **state)
{
    struct rig *rig = *state;
    size_t length;
    char *bytes = written_file(rig, 7, &length);

    for (size_t cut = 0; cut <= length; cut++) {
        struct keep *keep;
        size_t whole = 0;
        struct stat status;
        int lines = 0, batches;

        for (size_t i = 0; i < cut; i++)
            if (bytes[i] == '\n') {
                lines++;
                whole = i + 1;
            }
        batches = lines > 0 ? lines - 1 : 0; /* the first line is the header */
        put_bytes(rig->path, bytes, cut);
        keep = open_well(rig);
        assert_int_equal(rig->count, batches);
        for (int i = 0; i < batches; i++)
            assert_batch(rig, i, i);
        assert_int_equal(stat(rig->path, &status), 0);
        assert_int_equal(status.st_size, whole > 0 ? whole : first_line(bytes)); /* torn: dropped */
        assert_true(write_batch(keep, 40));
        assert_true(write_batch(keep, 41));
        keep_close(keep);
        keep_close(open_well(rig));
        assert_int_equal(rig->count, batches + 2);
        assert_batch(rig, batches, 40);
        assert_batch(rig, batches + 1, 41);
    }
    free(bytes);
}

/* A last line that ends well but is none: the disk had its end before its middle. */
static void
test_a_torn_last_line_with_its_end(void **state)
{
    static const char *const torn[] = {
        "{\"numb\n", "\n", "[1]\n", "7\n", "{\"a\":1,\"a\":2}\n", "{\"a\":\"\xff\"}\n"};
    struct rig *rig = *state;
    size_t length;
    char *bytes = written_file(rig, 3, &length);

    for (size_t i = 0; i < sizeof torn / sizeof *torn; i++) {
        char longer[2000];

        memcpy(longer, bytes, length);
        strcpy(longer + length, torn[i]);
        put_bytes(rig->path, longer, length + strlen(torn[i]));
        keep_close(open_well(rig));
        assert_row(torn[i], rig->count, 3);
    }
    free(bytes);
}

/* Damage before the end: told with its line, and the file stands untouched under another name. */
static void
test_damage_in_the_middle(void **state)
{
    struct rig *rig = *state;
    char said[2 * PATH_SIZE + 100], aside[PATH_SIZE + 20], *bytes, *kept;
    size_t length, kept_length;
    struct keep *keep;

    for (int time = 1; time <= 2; time++) {
        bytes = written_file(rig, 4, &length);
        *strstr(bytes, "\"number\":1") = '\xff'; /* line 3 */
        put_bytes(rig->path, bytes, length);
        keep = open_file(rig);
        assert_non_null(keep);
        assert_int_equal(rig->problems.count, 0);
        assert_int_equal(rig->count, 0);
        snprintf(said, sizeof said, "%s: line 3 is damaged; the file is set aside as %s.damaged%s,",
                 rig->path, rig->path, time == 1 ? "" : ".2");
        assert_contains(rig->notes, said);
        assert_true(write_batch(keep, 9));
        keep_close(keep);
        keep_close(open_well(rig));
        assert_int_equal(rig->count, 1);
        assert_batch(rig, 0, 9);

        snprintf(aside, sizeof aside, "%s.damaged%s", rig->path, time == 1 ? "" : ".2");
        kept = read_bytes(aside, &kept_length);
        assert_int_equal(kept_length, length);
        assert_memory_equal(kept, bytes, length);
        free(kept);
        free(bytes);
        file_remove(rig->path);
    }
}

static void
test_a_first_line_of_something_else(void **state)
{
    static const char *const firsts[] = {"{\"keep_format\":\"1\"}\n", "{}\n", "hello\n",
                                         "{\"keep_format\":0}\n"};
    struct rig *rig = *state;

    for (size_t i = 0; i < sizeof firsts / sizeof *firsts; i++) {
        struct keep *keep;

        put_bytes(rig->path, firsts[i], strlen(firsts[i]));
        keep = open_file(rig);
        assert_non_null(keep);
        assert_contains(rig->notes, "line 1 is damaged");
        keep_close(keep);
        clear(rig, ".damaged");
    }
}

static void
test_a_newer_format(void **state)
{
    static const char newer[] = "{\"keep_format\":2}\n{\"told\":[]}\n";
    struct rig *rig = *state;
    size_t length;
    char *bytes;

    put_bytes(rig->path, newer, sizeof newer - 1);
    assert_null(open_file(rig));
    assert_int_equal(rig->problems.count, 1);
    assert_contains(rig->problems.lines[0],
                    "was written by a newer version; this one reads format 1");
    bytes = read_bytes(rig->path, &length);
    assert_string_equal(bytes, newer); /* the newer version finds all of it */
    free(bytes);
}

/* Bytes overwritten, put in or taken out anywhere. */
static size_t
damage(struct dice *dice, char *bytes, size_t length)
{
    size_t at = (size_t)dice_below(dice, (int)length);

    switch (dice_below(dice, 4)) {
    case 0:
        bytes[at] = (char)dice_below(dice, 256);
        break;
    case 1:
        bytes[at] = (char)(bytes[at] ^ (1 << dice_below(dice, 8)));
        break;
    case 2:
        memmove(bytes + at + 1, bytes + at, length - at);
        bytes[at] = "\n\"{}\0,1"[dice_below(dice, 7)];
        return length + 1;
    default:
        memmove(bytes + at, bytes + at + 1, length - at - 1);
        return length - 1;
    }
    return length;
}

enum outcome { TAKEN, SET_ASIDE, REFUSED, OUTCOMES };

/* Whatever the damage: opened or refused, never half; nothing is lost from where it was whole, and
 * what is written afterwards comes back behind it. */
static enum outcome
check_damaged(struct rig *rig, const char *bytes, size_t length)
{
    struct keep *keep = open_file(rig);
    char aside[PATH_SIZE + 20], *kept;
    size_t kept_length;
    enum outcome outcome = *rig->notes ? SET_ASIDE : TAKEN;
    int before = rig->count;

    if (!keep) { /* only another format may be refused */
        assert_int_equal(rig->problems.count, 1);
        assert_contains(rig->problems.lines[0], "newer version");
        return REFUSED;
    }
    if (outcome == SET_ASIDE) {
        assert_int_equal(before, 0);
        snprintf(aside, sizeof aside, "%s.damaged", rig->path);
        kept = read_bytes(aside, &kept_length);
        assert_int_equal(kept_length, length);
        assert_memory_equal(kept, bytes, length);
        free(kept);
        file_remove(aside);
    }
    assert_true(write_batch(keep, 50));
    keep_close(keep);
    keep_close(open_well(rig));
    assert_int_equal(rig->count, before + 1);
    assert_batch(rig, before, 50);
    return outcome;
}

static void
test_random_damage(void **state)
{
    struct dice dice = dice_new();
    struct rig *rig = *state;
    size_t length, now;
    char *bytes = written_file(rig, 5, &length), *damaged = malloc(length + 100);
    int outcomes[OUTCOMES] = {0};

    assert_non_null(damaged);
    for (int round = 0; round < DAMAGES; round++) {
        memcpy(damaged, bytes, length);
        now = length;
        for (int i = dice_below(&dice, 5); i >= 0; i--)
            now = damage(&dice, damaged, now);
        put_bytes(rig->path, damaged, now);
        outcomes[check_damaged(rig, damaged, now)]++;
    }
    printf("%d taken, %d set aside, %d refused\n", outcomes[TAKEN], outcomes[SET_ASIDE],
           outcomes[REFUSED]);
    assert_true(outcomes[TAKEN] > DAMAGES / 20 && outcomes[SET_ASIDE] > DAMAGES / 20);
    free(bytes);
    free(damaged);
}

static void
test_a_second_watch(void **state)
{
    struct rig *rig = *state;
    struct keep *keep = open_well(rig);
    char process[40];

    assert_true(write_batch(keep, 1));
    assert_null(open_file(rig));
    assert_int_equal(rig->problems.count, 1);
    assert_contains(rig->problems.lines[0], "another watch of this show is running");
    if (access("/proc/locks", R_OK) == 0) {
        snprintf(process, sizeof process, "(process %ld)", (long)getpid());
        assert_contains(rig->problems.lines[0], process);
    }
    assert_int_equal(rig->count, 0); /* it is not read either */
    assert_true(compact_to(keep, 2));
    assert_null(open_file(rig));
    assert_true(write_batch(keep, 3));
    keep_close(keep);
    keep_close(open_well(rig));
    assert_int_equal(rig->count, 2);
}

/* Tries to open the file until it is killed; ends with 1 when it gets it. */
static void
try_to_open(struct rig *rig)
{
    for (;;) {
        struct problems problems = {0};
        struct keep *keep;

        keep = keep_open(rig->path, on_batch, rig, &problems, stderr);
        if (keep)
            _exit(1);
        problems_release(&problems);
    }
}

/* The lock moves to the new file without a moment in which another could have either. */
static void
test_the_lock_outlasts_compacting(void **state)
{
    struct rig *rig = *state;
    struct keep *keep = open_well(rig);
    pid_t other = fork();
    int status;

    assert_true(other >= 0);
    if (other == 0)
        try_to_open(rig);
    for (int i = 0; i < COMPACTIONS; i++) {
        assert_true(compact_to(keep, i));
        assert_true(write_batch(keep, i + 1));
    }
    kill(other, SIGKILL);
    assert_int_equal(waitpid(other, &status, 0), other);
    assert_true(WIFSIGNALED(status));
    keep_close(keep);
    keep_close(open_well(rig));
    assert_int_equal(rig->count, 2);
    assert_batch(rig, 0, COMPACTIONS - 1);
    assert_batch(rig, 1, COMPACTIONS);
}

static void
test_compacting(void **state)
{
    struct rig *rig = *state;
    struct keep *keep = open_well(rig);
    struct json *large = json_new_object();
    struct stat status;
    char *text = calloc(60001, 1);
    int written = 0;

    assert_non_null(text);
    memset(text, 'x', 60000);
    json_add_string(large, "text", text);
    while (!keep_is_long(keep) && written < 20) {
        assert_true(keep_write(keep, large));
        written++;
    }
    assert_int_equal(written, 5); /* more than 256 KiB */
    assert_true(keep_compact(keep, large));
    assert_false(keep_is_long(keep));
    assert_int_equal(stat(rig->path, &status), 0);
    assert_int_equal(status.st_mode & 0777, 0600);
    assert_true(status.st_size < 61000);
    assert_true(write_batch(keep, 3));
    keep_close(keep);
    keep_close(open_well(rig));
    assert_int_equal(rig->count, 2);
    assert_batch(rig, 1, 3);
    json_free(large);
    free(text);
}

static void
limit_files(rlim_t bytes)
{
    struct rlimit limit;

    assert_int_equal(getrlimit(RLIMIT_FSIZE, &limit), 0);
    limit.rlim_cur = bytes < limit.rlim_max ? bytes : limit.rlim_max;
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &limit), 0);
}

/* The disk takes a part of the line and then no more, wherever in the line that is. */
static void
test_a_full_disk(void **state)
{
    struct rig *rig = *state;
    size_t length, now_length;
    char *bytes = written_file(rig, 3, &length), *now;

    signal(SIGXFSZ, SIG_IGN);
    for (size_t room = 0; room < 20; room++) {
        struct keep *keep;
        bool wrote, compacted;

        put_bytes(rig->path, bytes, length);
        keep = open_well(rig);
        limit_files((rlim_t)(length + room));
        wrote = write_batch(keep, 3);
        limit_files(30); /* less than the header and a batch */
        compacted = compact_to(keep, 4);
        limit_files(RLIM_INFINITY);
        assert_false(wrote);
        assert_false(compacted);
        assert_string_equal(keep_error(keep), "File too large");
        now = read_bytes(rig->path, &now_length);
        assert_int_equal(now_length, length);
        assert_memory_equal(now, bytes, length);
        free(now);

        assert_true(write_batch(keep, 5)); /* there is room again */
        keep_close(keep);
        keep_close(open_well(rig));
        assert_int_equal(rig->count, 4);
        assert_batch(rig, 3, 5);
    }
    free(bytes);
}

static void
test_no_room_for_the_first_line(void **state)
{
    struct rig *rig = *state;

    signal(SIGXFSZ, SIG_IGN);
    limit_files(5);
    assert_null(open_file(rig));
    limit_files(RLIM_INFINITY);
    assert_int_equal(rig->problems.count, 1);
    assert_contains(rig->problems.lines[0], "one.kept: cannot be written: File too large");
    keep_close(open_well(rig)); /* what was left of it is no damage */
}

/* Nothing is cut off or set aside of what is no file of ours. */
static void
test_what_cannot_be_opened(void **state)
{
    struct rig *rig = *state;
    char target[PATH_SIZE + 10];

    assert_int_equal(mkfifo(rig->path, 0600), 0);
    assert_null(open_file(rig));
    assert_contains(rig->problems.lines[0], "cannot be written: it is no plain file");
    file_remove(rig->path);

    snprintf(target, sizeof target, "%s.target", rig->path);
    put_bytes(target, "precious", 8);
    assert_int_equal(symlink(target, rig->path), 0);
    assert_null(open_file(rig));
    assert_contains(rig->problems.lines[0], "cannot be written: ");
    file_remove(rig->path);
    file_remove(target);

    assert_int_equal(mkdir(rig->path, 0700), 0);
    assert_null(open_file(rig));
    assert_contains(rig->problems.lines[0], "cannot be written: Is a directory");
    file_remove(rig->path);
}

/* A file too large to be ours is told, not set aside or cut. */
static void
test_too_large(void **state)
{
    struct rig *rig = *state;
    struct stat status;

    put_bytes(rig->path, "{", 1);
    assert_int_equal(truncate(rig->path, 65 * 1024 * 1024), 0); /* sparse */
    assert_null(open_file(rig));
    assert_contains(rig->problems.lines[0], "cannot be read: File too large");
    assert_int_equal(stat(rig->path, &status), 0);
    assert_int_equal(status.st_size, 65 * 1024 * 1024);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make, drop)

int
main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(test_comes_back_in_order),
        TEST(test_cut_at_every_byte),
        TEST(test_a_torn_last_line_with_its_end),
        TEST(test_damage_in_the_middle),
        TEST(test_a_first_line_of_something_else),
        TEST(test_a_newer_format),
        TEST(test_random_damage),
        TEST(test_a_second_watch),
        TEST(test_the_lock_outlasts_compacting),
        TEST(test_compacting),
        TEST(test_a_full_disk),
        TEST(test_no_room_for_the_first_line),
        TEST(test_what_cannot_be_opened),
        TEST(test_too_large),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
