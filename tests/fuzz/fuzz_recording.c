/* SPDX-License-Identifier: MIT */
/* Bytes as a recording of a watch, with the sums of its lines put right, so that the reader meets
 * the lines. A recording is read or its problems are told, never both; one that is read is replayed
 * to its end, whatever it says, and that ends.
 */
#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/fingerprint.h"
#include "command/replay.h"
#include "fuzz.h"
#include "rig.h"
#include "saved/parts.h"

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    /* the watch prints to standard output */
    return freopen("/dev/null", "w", stdout) ? 0 : -1;
}

/* Every line that is long enough and ends as one of a recording gets the sum that it should have.
 */
static void
mend_sums(char *text)
{
    const size_t behind =
        sizeof RECORDING_SUM - 1 + RECORDING_DIGITS + sizeof RECORDING_SUM_END - 1;
    uint64_t sum = FINGERPRINT_BEGIN;
    char digits[RECORDING_DIGITS + 1];

    for (char *end; (end = strchr(text, '\n')); text = end + 1) {
        size_t length = (size_t)(end - text);
        char *at = end - behind;

        if (length < behind || strncmp(at, RECORDING_SUM, sizeof RECORDING_SUM - 1) != 0)
            continue;
        *at = '\0';
        sum = fingerprint_add(sum, text);
        *at = RECORDING_SUM[0];
        snprintf(digits, sizeof digits, "%016" PRIx64, sum);
        memcpy(at + sizeof RECORDING_SUM - 1, digits, RECORDING_DIGITS);
    }
}

static void
look_through(struct recording_reader *reader, struct problems *problems)
{
    static char *none[] = {NULL};
    struct options options = {.words = none};

    replay_run(reader, "recording", &options, problems);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    char *text = malloc(length + 1);
    struct recording_reader *reader;
    struct problems problems = {0};

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    mend_sums(text);
    reader = recording_parse(text, length, "recording", &problems);
    assert((reader != NULL) == (problems.count == 0));
    if (reader)
        look_through(reader, &problems);
    problems_print(&problems, rig_nowhere());
    problems_release(&problems);
    recording_reader_free(reader);
    return 0;
}
